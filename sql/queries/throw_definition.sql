-- One row per chair of this code: what its throw numbers mean, empty when that was never said.
-- Parameters: chair.
select chairs_now.throw_definition
from chairs_now
where chairs_now.chair = $1
order by chairs_now.logged_at desc;
