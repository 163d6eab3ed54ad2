-- One row per row of speed_limits that no later row corrects.
create or replace view speed_limits_now as
with corrected as (
    select speed_limits.supersedes as entry
    from speed_limits
    where speed_limits.supersedes is not null
)

select
    speed_limits.entry,
    speed_limits.direction,
    speed_limits.limit_kmh,
    speed_limits.gate_m,
    speed_limits.gate_s,
    speed_limits."on",
    speed_limits.supersedes,
    speed_limits.extra,
    speed_limits.logged_at
from speed_limits
anti join corrected on speed_limits.entry = corrected.entry;
