-- One row per practice of an athlete on one day, with all that was noted of it.
-- Parameters: athlete, day.
select
    practices_now.practice,
    practices_now.athlete,
    practices_now."on",
    practices_now.minutes,
    practices_now.surface,
    practices_now.battery_percent,
    practices_now.dial_percent,
    practices_now.fatigue,
    practices_now.pain
from practices_now
where
    practices_now.athlete = $1
    and practices_now."on" = $2::date
order by practices_now."time" nulls first, practices_now.practice;
