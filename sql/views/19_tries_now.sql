-- One row per row of tries that no later row corrects. Practices go by the id they have now.
create or replace view tries_now as
with corrected as (
    select tries.supersedes as entry
    from tries
    where tries.supersedes is not null
)

select
    tries.entry,
    coalesce(practice_names.practice, tries.practice) as practice,
    tries.athlete,
    tries.profile,
    tries.outcome,
    tries.successes,
    tries.tries,
    tries.supersedes,
    tries.extra,
    tries.logged_at
from tries
anti join corrected on tries.entry = corrected.entry
left join practice_names on tries.practice = practice_names.name;
