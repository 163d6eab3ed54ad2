-- One row per practice of an athlete whose speed dial is known, up to a day, the latest first; practices of which
-- only other profiles are known to have been driven are left out. named: whether the profile asked about was driven.
-- Parameters: athlete, day, profile.
with measured as (
    select
        attempts_now.practice,
        attempts_now.profile
    from attempts_now
    where attempts_now.athlete = $1
    union
    select
        counts_now.practice,
        counts_now.profile
    from counts_now
    where counts_now.athlete = $1
    union
    select
        ratings_now.practice,
        ratings_now.profile
    from ratings_now
    where ratings_now.athlete = $1
    union
    select
        tries_now.practice,
        tries_now.profile
    from tries_now
    where tries_now.athlete = $1
),

driven as (
    select
        measured.practice,
        coalesce(bool_or(measured.profile = $3::integer), false) as named,
        count(measured.profile) = 0 as unnamed
    from measured
    group by measured.practice
)

select
    practices_now.practice,
    practices_now."on",
    practices_now.dial_percent,
    coalesce(driven.named, false) as named
from practices_now
left join driven on practices_now.practice = driven.practice
where
    practices_now.athlete = $1
    and practices_now."on" <= $2::date
    and practices_now.dial_percent is not null
    and coalesce(driven.named or driven.unnamed, true)
order by practices_now."on" desc, practices_now."time" desc nulls last, practices_now.practice desc;
