-- One row per event of an athlete, in order of time, with its time of day and the instant it was logged.
-- Parameters: athlete, last day.
select
    events_now."on",
    events_now."time",
    events_now.event,
    events_now.note,
    events_now.logged_at
from events_now
where
    events_now.athlete = $1
    and coalesce(events_now."on" <= $2::date, true)
order by events_now."on", events_now."time" nulls first, events_now.logged_at;
