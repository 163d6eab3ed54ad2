-- One row per athlete who practised in a season: in how many practices each thing was written down.
-- Asked: athlete (null for all), first day, last day.
with asked as (
    select
        $1::varchar as athlete,
        $2::date as from_on,
        $3::date as to_on
),

held as (
    select practices_now.*
    from practices_now
    inner join asked on practices_now."on" between asked.from_on and asked.to_on
    where asked.athlete is null or practices_now.athlete = asked.athlete
),

marked as (
    select
        held.athlete,
        held."on",
        held.battery_percent is not null as battery,
        held.practice in (select attempts_now.practice from attempts_now) as timed,
        held.practice in (select counts_now.practice from counts_now) as counted,
        held.practice in (
            select counts_now.practice
            from counts_now
            where counts_now.outcome = 'collisions'
        ) as collided,
        held.practice in (select ratings_now.practice from ratings_now) as rated,
        held.practice in (select tries_now.practice from tries_now) as tried
    from held
)

select
    marked.athlete,
    min(marked."on") as first_on,
    max(marked."on") as last_on,
    count(*) as practices,
    count_if(marked.timed or marked.counted or marked.rated or marked.tried) as with_outcome,
    count_if(marked.timed) as with_attempts,
    count_if(marked.collided) as with_collisions,
    count_if(marked.rated) as with_ratings,
    count_if(marked.battery) as with_battery
from marked
group by marked.athlete
order by marked.athlete;
