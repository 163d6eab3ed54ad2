-- One row: the day of the last practice. Asked: athlete (null for all).
with asked as (
    select $1::varchar as athlete
)

select max(practices_now."on") as last_on
from practices_now
cross join asked
where asked.athlete is null or practices_now.athlete = asked.athlete;
