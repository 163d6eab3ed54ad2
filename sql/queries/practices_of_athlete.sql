-- One row per practice of an athlete, in order of time.
-- Parameters: athlete.
select
    practices_now.practice,
    practices_now."on",
    practices_now."time",
    practices_now.surface,
    practices_now.dial_percent
from practices_now
where practices_now.athlete = $1
order by practices_now."on", practices_now."time" nulls first, practices_now.practice;
