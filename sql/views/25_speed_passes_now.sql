-- One row per row of speed_passes that no later row corrects.
create or replace view speed_passes_now as
with corrected as (
    select speed_passes.supersedes as entry
    from speed_passes
    where speed_passes.supersedes is not null
)

select
    speed_passes.entry,
    speed_passes.athlete,
    speed_passes.chair,
    speed_passes.profile,
    speed_passes.direction,
    speed_passes."on",
    speed_passes."time",
    speed_passes.gate_m,
    speed_passes.seconds,
    speed_passes.speed_kmh,
    speed_passes.method,
    speed_passes.timer,
    speed_passes.dial_percent,
    speed_passes.supersedes,
    speed_passes.extra,
    speed_passes.logged_at
from speed_passes
anti join corrected on speed_passes.entry = corrected.entry;
