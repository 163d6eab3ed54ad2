-- One row per id that two rows of a table share.
select
    'athletes' as in_table,
    athletes.entry as id,
    count(*) as n
from athletes
group by athletes.entry
having count(*) > 1
union all
select
    'chairs' as in_table,
    chairs.entry as id,
    count(*) as n
from chairs
group by chairs.entry
having count(*) > 1
union all
select
    'drills' as in_table,
    drills.entry as id,
    count(*) as n
from drills
group by drills.entry
having count(*) > 1
union all
select
    'catalogue' as in_table,
    catalogue.entry as id,
    count(*) as n
from catalogue
group by catalogue.entry
having count(*) > 1
union all
select
    'settings' as in_table,
    settings.entry as id,
    count(*) as n
from settings
group by settings.entry
having count(*) > 1
union all
select
    'changes' as in_table,
    changes.change as id,
    count(*) as n
from changes
group by changes.change
having count(*) > 1
union all
select
    'practices' as in_table,
    practices.practice as id,
    count(*) as n
from practices
group by practices.practice
having count(*) > 1
union all
select
    'attempts' as in_table,
    attempts.attempt as id,
    count(*) as n
from attempts
group by attempts.attempt
having count(*) > 1
union all
select
    'counts' as in_table,
    counts.entry as id,
    count(*) as n
from counts
group by counts.entry
having count(*) > 1
union all
select
    'ratings' as in_table,
    ratings.entry as id,
    count(*) as n
from ratings
group by ratings.entry
having count(*) > 1
union all
select
    'tries' as in_table,
    tries.entry as id,
    count(*) as n
from tries
group by tries.entry
having count(*) > 1
union all
select
    'events' as in_table,
    events.entry as id,
    count(*) as n
from events
group by events.entry
having count(*) > 1
union all
select
    'runs' as in_table,
    runs.run as id,
    count(*) as n
from runs
group by runs.run
having count(*) > 1
union all
select
    'speed_passes' as in_table,
    speed_passes.entry as id,
    count(*) as n
from speed_passes
group by speed_passes.entry
having count(*) > 1
union all
select
    'speed_limits' as in_table,
    speed_limits.entry as id,
    count(*) as n
from speed_limits
group by speed_limits.entry
having count(*) > 1
union all
select
    'match_profiles' as in_table,
    match_profiles.entry as id,
    count(*) as n
from match_profiles
group by match_profiles.entry
having count(*) > 1;
