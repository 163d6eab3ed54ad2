-- One row per measured speed of an athlete as it stands after corrections, in order of time.
-- Parameters: athlete, last day (null for the whole record).
select
    speed_passes_now.entry,
    speed_passes_now.chair,
    speed_passes_now.profile,
    speed_passes_now.direction,
    speed_passes_now."on",
    speed_passes_now."time",
    speed_passes_now.gate_m,
    speed_passes_now.seconds,
    speed_passes_now.speed_kmh,
    speed_passes_now.method,
    speed_passes_now.timer,
    speed_passes_now.dial_percent,
    speed_passes_now.logged_at
from speed_passes_now
where
    speed_passes_now.athlete = $1
    and coalesce(speed_passes_now."on" <= $2::date, true)
order by
    speed_passes_now."on", speed_passes_now."time" nulls first, speed_passes_now.logged_at, speed_passes_now.entry;
