-- One row per outcome and profile of an athlete: its kind, and the days on which it was measured.
-- Parameters: athlete.
with measured as (
    select
        attempts_now.practice,
        attempts_now.athlete,
        attempts_now.profile,
        'drill:' || attempts_now.drill as outcome,
        'time' as kind
    from attempts_now
    union all
    select
        counts_now.practice,
        counts_now.athlete,
        counts_now.profile,
        counts_now.outcome,
        'count' as kind
    from counts_now
    union all
    select
        ratings_now.practice,
        ratings_now.athlete,
        ratings_now.profile,
        ratings_now.outcome,
        'rating' as kind
    from ratings_now
    union all
    select
        tries_now.practice,
        tries_now.athlete,
        tries_now.profile,
        tries_now.outcome,
        'success' as kind
    from tries_now
)

select
    measured.outcome,
    measured.kind,
    measured.profile,
    list(distinct practices_now."on" order by practices_now."on") as days
from measured
inner join practices_now on measured.practice = practices_now.practice
where measured.athlete = $1
group by measured.outcome, measured.kind, measured.profile
order by measured.kind = 'time' desc, measured.outcome asc, measured.profile asc;
