-- One row per athlete with collisions counted over known minutes in a season.
-- Asked: athlete (null for all), first day, last day.
with asked as (
    select
        $1::varchar as athlete,
        $2::date as from_on,
        $3::date as to_on
)

select
    practices_now.athlete,
    count(distinct practices_now.practice) as practices,
    sum(counts_now.count)::bigint as count,
    sum(counts_now.minutes) as minutes
from practices_now
inner join asked on practices_now."on" between asked.from_on and asked.to_on
inner join counts_now on practices_now.practice = counts_now.practice
where
    counts_now.outcome = 'collisions'
    and counts_now.minutes is not null
    and (asked.athlete is null or practices_now.athlete = asked.athlete)
group by practices_now.athlete
order by practices_now.athlete;
