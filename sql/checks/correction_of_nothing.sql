-- One row per row that corrects a row which is not there.
select
    'athletes' as in_table,
    athletes.entry as id,
    athletes.supersedes
from athletes
anti join athletes as target on athletes.supersedes = target.entry
where athletes.supersedes is not null
union all
select
    'chairs' as in_table,
    chairs.entry as id,
    chairs.supersedes
from chairs
anti join chairs as target on chairs.supersedes = target.entry
where chairs.supersedes is not null
union all
select
    'drills' as in_table,
    drills.entry as id,
    drills.supersedes
from drills
anti join drills as target on drills.supersedes = target.entry
where drills.supersedes is not null
union all
select
    'catalogue' as in_table,
    catalogue.entry as id,
    catalogue.supersedes
from catalogue
anti join catalogue as target on catalogue.supersedes = target.entry
where catalogue.supersedes is not null
union all
select
    'settings' as in_table,
    settings.entry as id,
    settings.supersedes
from settings
anti join settings as target on settings.supersedes = target.entry
where settings.supersedes is not null
union all
select
    'changes' as in_table,
    changes.change as id,
    changes.supersedes
from changes
anti join changes as target on changes.supersedes = target.change
where changes.supersedes is not null
union all
select
    'practices' as in_table,
    practices.practice as id,
    practices.supersedes
from practices
anti join practices as target on practices.supersedes = target.practice
where practices.supersedes is not null
union all
select
    'attempts' as in_table,
    attempts.attempt as id,
    attempts.supersedes
from attempts
anti join attempts as target on attempts.supersedes = target.attempt
where attempts.supersedes is not null
union all
select
    'counts' as in_table,
    counts.entry as id,
    counts.supersedes
from counts
anti join counts as target on counts.supersedes = target.entry
where counts.supersedes is not null
union all
select
    'ratings' as in_table,
    ratings.entry as id,
    ratings.supersedes
from ratings
anti join ratings as target on ratings.supersedes = target.entry
where ratings.supersedes is not null
union all
select
    'tries' as in_table,
    tries.entry as id,
    tries.supersedes
from tries
anti join tries as target on tries.supersedes = target.entry
where tries.supersedes is not null
union all
select
    'events' as in_table,
    events.entry as id,
    events.supersedes
from events
anti join events as target on events.supersedes = target.entry
where events.supersedes is not null
union all
select
    'speed_passes' as in_table,
    speed_passes.entry as id,
    speed_passes.supersedes
from speed_passes
anti join speed_passes as target on speed_passes.supersedes = target.entry
where speed_passes.supersedes is not null
union all
select
    'speed_limits' as in_table,
    speed_limits.entry as id,
    speed_limits.supersedes
from speed_limits
anti join speed_limits as target on speed_limits.supersedes = target.entry
where speed_limits.supersedes is not null
union all
select
    'match_profiles' as in_table,
    match_profiles.entry as id,
    match_profiles.supersedes
from match_profiles
anti join match_profiles as target on match_profiles.supersedes = target.entry
where match_profiles.supersedes is not null
union all
select
    'runs' as in_table,
    runs.run as id,
    runs.supersedes
from runs
anti join runs as target on runs.supersedes = target.run
where runs.supersedes is not null;
