-- One row per event of an athlete, and per new layout of any drill, in order of time.
-- Parameters: athlete.
select
    events_now."on",
    events_now.event,
    events_now.note,
    cast(null as varchar) as drill
from events_now
where events_now.athlete = $1
union all
select
    drills_now.since as "on",
    'layout' as event,
    drills_now.layout as note,
    drills_now.drill
from drills_now
where drills_now.since is not null
order by 1, 2;
