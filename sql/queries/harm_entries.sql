-- One row per count or rating of an athlete's practices, in order of time; pain noted of a practice is a rating too.
-- Parameters: athlete, last day or null for the whole record.
with entries as (
    select
        counts_now.practice,
        counts_now.profile,
        'count' as kind,
        counts_now.outcome,
        counts_now.count::double as "value",
        counts_now.minutes
    from counts_now
    where counts_now.athlete = $1
    union all
    select
        ratings_now.practice,
        ratings_now.profile,
        'rating' as kind,
        ratings_now.outcome,
        ratings_now.rating as "value",
        null as minutes
    from ratings_now
    where ratings_now.athlete = $1
    union all
    select
        practices_now.practice,
        null as profile,
        'rating' as kind,
        'pain' as outcome,
        practices_now.pain as "value",
        null as minutes
    from practices_now
    where practices_now.athlete = $1 and practices_now.pain is not null
)

select
    entries.practice,
    entries.profile,
    entries.kind,
    entries.outcome,
    entries."value",
    coalesce(entries.minutes, practices_now.minutes) as minutes,
    practices_now."on",
    practices_now."time"
from entries
inner join practices_now on entries.practice = practices_now.practice
where coalesce(practices_now."on" <= $2::date, true)
order by
    practices_now."on", practices_now."time" nulls first, entries.practice, entries.kind, entries.outcome;
