-- One row: the day of the last practice that has come already, and how many are dated after it.
-- Asked: athlete (null for all), today.
with asked as (
    select
        $1::varchar as athlete,
        $2::date as today
)

select
    max(practices_now."on") filter (where practices_now."on" <= asked.today) as last_on,
    count_if(practices_now."on" > asked.today) as dated_ahead
from practices_now
cross join asked
where asked.athlete is null or practices_now.athlete = asked.athlete;
