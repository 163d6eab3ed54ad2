-- One row per row of runs that no later row corrects.
create or replace view runs_now as
with corrected as (
    select runs.supersedes as run
    from runs
    where runs.supersedes is not null
)

select
    runs.run,
    runs.athlete,
    runs.chair,
    runs.profile,
    runs.direction,
    runs."on",
    runs."time",
    runs.start,
    runs.distance_m,
    runs.seconds,
    runs.dial_percent,
    runs.surface,
    runs.battery_percent,
    runs.method,
    runs.supersedes,
    runs.extra,
    runs.logged_at
from runs
anti join corrected on runs.run = corrected.run;
