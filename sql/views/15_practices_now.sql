-- One row per row of practices that no later row corrects.
create or replace view practices_now as
with corrected as (
    select practices.supersedes as practice
    from practices
    where practices.supersedes is not null
)

select
    practices.practice,
    practices.athlete,
    practices."on",
    practices."time",
    practices.minutes,
    practices.surface,
    practices.battery_percent,
    practices.dial_percent,
    practices.fatigue,
    practices.pain,
    practices.supersedes,
    practices.extra,
    practices.logged_at
from practices
anti join corrected on practices.practice = corrected.practice;
