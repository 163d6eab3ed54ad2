-- One row per row of events that no later row corrects.
create or replace view events_now as
with corrected as (
    select events.supersedes as entry
    from events
    where events.supersedes is not null
)

select
    events.entry,
    events.athlete,
    events."on",
    events."time",
    events.event,
    events.note,
    events.supersedes,
    events.extra,
    events.logged_at
from events
anti join corrected on events.entry = corrected.entry;
