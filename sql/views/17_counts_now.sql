-- One row per row of counts that no later row corrects. Practices go by the id they have now.
create or replace view counts_now as
with corrected as (
    select counts.supersedes as entry
    from counts
    where counts.supersedes is not null
)

select
    counts.entry,
    coalesce(practice_names.practice, counts.practice) as practice,
    counts.athlete,
    counts.profile,
    counts.outcome,
    counts.count,
    counts.minutes,
    counts.supersedes,
    counts.extra,
    counts.logged_at
from counts
anti join corrected on counts.entry = corrected.entry
left join practice_names on counts.practice = practice_names.name;
