-- One row per measured value of one outcome of one athlete, all four kinds in one shape; an attempt a row.
-- A time that was not finished stands at its limit, or at what was typed where that is longer.
-- Parameters: athlete, outcome (drill:NAME or the outcome's name).
with entries as (
    select
        attempts_now.practice,
        attempts_now.athlete,
        attempts_now.profile,
        'drill:' || attempts_now.drill as outcome,
        'time' as kind,
        case
            when attempts_now.finished = 0 then greatest(attempts_now.seconds, attempts_now.limit_s)
            else attempts_now.seconds
        end as "value",
        1.0 as size,
        coalesce(attempts_now.finished, 1) as finished,
        attempts_now.touches,
        attempts_now.timer,
        attempts_now.layout
    from attempts_now
    union all
    select
        counts_now.practice,
        counts_now.athlete,
        counts_now.profile,
        counts_now.outcome,
        'count' as kind,
        counts_now.count as "value",
        coalesce(counts_now.minutes, practices_now.minutes) as size,
        1 as finished,
        null as touches,
        null as timer,
        null as layout
    from counts_now
    inner join practices_now on counts_now.practice = practices_now.practice
    union all
    select
        ratings_now.practice,
        ratings_now.athlete,
        ratings_now.profile,
        ratings_now.outcome,
        'rating' as kind,
        ratings_now.rating as "value",
        1.0 as size,
        1 as finished,
        null as touches,
        ratings_now."by" as timer,
        null as layout
    from ratings_now
    union all
    select
        tries_now.practice,
        tries_now.athlete,
        tries_now.profile,
        tries_now.outcome,
        'success' as kind,
        tries_now.successes as "value",
        tries_now.tries as size,
        1 as finished,
        null as touches,
        null as timer,
        null as layout
    from tries_now
)

select
    entries.practice,
    entries.profile,
    entries.kind,
    entries."value",
    entries.size,
    entries.finished,
    entries.touches,
    entries.timer,
    entries.layout,
    practices_now."on",
    practices_now."time",
    practices_now.surface
from entries
inner join practices_now on entries.practice = practices_now.practice
where entries.athlete = $1 and entries.outcome = $2
order by practices_now."on", practices_now."time" nulls first, entries.practice;
