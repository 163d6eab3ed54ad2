-- One row per row of chairs that no later row corrects.
create or replace view chairs_now as
with corrected as (
    select chairs.supersedes as entry
    from chairs
    where chairs.supersedes is not null
)

select
    chairs.entry,
    chairs.chair,
    chairs.athlete,
    chairs.scale,
    chairs.scale_definition,
    chairs.throw_definition,
    chairs.since,
    chairs.until,
    chairs.goals,
    chairs.supersedes,
    chairs.extra,
    chairs.logged_at
from chairs
anti join corrected on chairs.entry = corrected.entry;
