-- One row per direction for which the club has stated a limit: the one in force on a day.
-- Parameters: day.
select
    speed_limits_now.entry,
    speed_limits_now.direction,
    speed_limits_now.limit_kmh,
    speed_limits_now.gate_m,
    speed_limits_now.gate_s,
    speed_limits_now."on"
from speed_limits_now
where speed_limits_now."on" <= $1::date
qualify
    row_number() over (
        partition by speed_limits_now.direction
        order by speed_limits_now."on" desc, speed_limits_now.logged_at desc, speed_limits_now.entry desc
    ) = 1
order by speed_limits_now.direction;
