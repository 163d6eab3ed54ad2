-- One row per chair of this code: the scale that its numbers are on.
-- Parameters: chair.
select
    chairs_now.chair,
    chairs_now.scale,
    chairs_now.scale_definition,
    chairs_now.throw_definition
from chairs_now
where chairs_now.chair = $1
order by chairs_now.logged_at desc
limit 1;
