-- One row per table of the record: its rows in a season, corrections counted once.
-- Asked: athlete (null for all), first day, last day.
with asked as (
    select
        $1::varchar as athlete,
        $2::date as from_on,
        $3::date as to_on
),

held as (
    select practices_now.practice
    from practices_now
    inner join asked on practices_now."on" between asked.from_on and asked.to_on
    where asked.athlete is null or practices_now.athlete = asked.athlete
),

counted as (
    select
        1 as place,
        'changes' as "table",
        count(*) as "rows"
    from changes_now
    inner join asked on changes_now."on" between asked.from_on and asked.to_on
    where asked.athlete is null or changes_now.athlete = asked.athlete
    union all
    select
        2 as place,
        'practices' as "table",
        count(*) as "rows"
    from held
    union all
    select
        3 as place,
        'attempts' as "table",
        count(*) as "rows"
    from attempts_now
    semi join held on attempts_now.practice = held.practice
    union all
    select
        4 as place,
        'counts' as "table",
        count(*) as "rows"
    from counts_now
    semi join held on counts_now.practice = held.practice
    union all
    select
        5 as place,
        'ratings' as "table",
        count(*) as "rows"
    from ratings_now
    semi join held on ratings_now.practice = held.practice
    union all
    select
        6 as place,
        'tries' as "table",
        count(*) as "rows"
    from tries_now
    semi join held on tries_now.practice = held.practice
    union all
    select
        7 as place,
        'events' as "table",
        count(*) as "rows"
    from events_now
    inner join asked on events_now."on" between asked.from_on and asked.to_on
    where asked.athlete is null or events_now.athlete = asked.athlete
)

select
    counted."table",
    counted."rows"
from counted
order by counted.place;
