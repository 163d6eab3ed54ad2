-- One row per row of drills that no later row corrects.
create or replace view drills_now as
with corrected as (
    select drills.supersedes as entry
    from drills
    where drills.supersedes is not null
)

select
    drills.entry,
    drills.drill,
    drills.layout,
    drills.since,
    drills.description,
    drills.supersedes,
    drills.extra,
    drills.logged_at
from drills
anti join corrected on drills.entry = corrected.entry;
