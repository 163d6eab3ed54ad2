-- One row per row that two others correct: it is not clear which one holds.
select
    'athletes' as in_table,
    athletes.supersedes as id,
    count(*) as n
from athletes
where athletes.supersedes is not null
group by athletes.supersedes
having count(*) > 1
union all
select
    'chairs' as in_table,
    chairs.supersedes as id,
    count(*) as n
from chairs
where chairs.supersedes is not null
group by chairs.supersedes
having count(*) > 1
union all
select
    'drills' as in_table,
    drills.supersedes as id,
    count(*) as n
from drills
where drills.supersedes is not null
group by drills.supersedes
having count(*) > 1
union all
select
    'catalogue' as in_table,
    catalogue.supersedes as id,
    count(*) as n
from catalogue
where catalogue.supersedes is not null
group by catalogue.supersedes
having count(*) > 1
union all
select
    'settings' as in_table,
    settings.supersedes as id,
    count(*) as n
from settings
where settings.supersedes is not null
group by settings.supersedes
having count(*) > 1
union all
select
    'changes' as in_table,
    changes.supersedes as id,
    count(*) as n
from changes
where changes.supersedes is not null
group by changes.supersedes
having count(*) > 1
union all
select
    'practices' as in_table,
    practices.supersedes as id,
    count(*) as n
from practices
where practices.supersedes is not null
group by practices.supersedes
having count(*) > 1
union all
select
    'attempts' as in_table,
    attempts.supersedes as id,
    count(*) as n
from attempts
where attempts.supersedes is not null
group by attempts.supersedes
having count(*) > 1
union all
select
    'counts' as in_table,
    counts.supersedes as id,
    count(*) as n
from counts
where counts.supersedes is not null
group by counts.supersedes
having count(*) > 1
union all
select
    'ratings' as in_table,
    ratings.supersedes as id,
    count(*) as n
from ratings
where ratings.supersedes is not null
group by ratings.supersedes
having count(*) > 1
union all
select
    'tries' as in_table,
    tries.supersedes as id,
    count(*) as n
from tries
where tries.supersedes is not null
group by tries.supersedes
having count(*) > 1
union all
select
    'events' as in_table,
    events.supersedes as id,
    count(*) as n
from events
where events.supersedes is not null
group by events.supersedes
having count(*) > 1
union all
select
    'runs' as in_table,
    runs.supersedes as id,
    count(*) as n
from runs
where runs.supersedes is not null
group by runs.supersedes
having count(*) > 1
union all
select
    'speed_passes' as in_table,
    speed_passes.supersedes as id,
    count(*) as n
from speed_passes
where speed_passes.supersedes is not null
group by speed_passes.supersedes
having count(*) > 1
union all
select
    'speed_limits' as in_table,
    speed_limits.supersedes as id,
    count(*) as n
from speed_limits
where speed_limits.supersedes is not null
group by speed_limits.supersedes
having count(*) > 1
union all
select
    'match_profiles' as in_table,
    match_profiles.supersedes as id,
    count(*) as n
from match_profiles
where match_profiles.supersedes is not null
group by match_profiles.supersedes
having count(*) > 1;
