-- One row per row of an athlete who is not recorded.
select
    'settings' as in_table,
    settings.entry as id,
    settings.athlete
from settings
anti join athletes on settings.athlete = athletes.athlete
union all
select
    'changes' as in_table,
    changes.change as id,
    changes.athlete
from changes
anti join athletes on changes.athlete = athletes.athlete
union all
select
    'practices' as in_table,
    practices.practice as id,
    practices.athlete
from practices
anti join athletes on practices.athlete = athletes.athlete
union all
select
    'attempts' as in_table,
    attempts.attempt as id,
    attempts.athlete
from attempts
anti join athletes on attempts.athlete = athletes.athlete
union all
select
    'counts' as in_table,
    counts.entry as id,
    counts.athlete
from counts
anti join athletes on counts.athlete = athletes.athlete
union all
select
    'ratings' as in_table,
    ratings.entry as id,
    ratings.athlete
from ratings
anti join athletes on ratings.athlete = athletes.athlete
union all
select
    'tries' as in_table,
    tries.entry as id,
    tries.athlete
from tries
anti join athletes on tries.athlete = athletes.athlete
union all
select
    'events' as in_table,
    events.entry as id,
    events.athlete
from events
anti join athletes on events.athlete = athletes.athlete
union all
select
    'runs' as in_table,
    runs.run as id,
    runs.athlete
from runs
anti join athletes on runs.athlete = athletes.athlete
union all
select
    'speed_passes' as in_table,
    speed_passes.entry as id,
    speed_passes.athlete
from speed_passes
anti join athletes on speed_passes.athlete = athletes.athlete
union all
select
    'match_profiles' as in_table,
    match_profiles.entry as id,
    match_profiles.athlete
from match_profiles
anti join athletes on match_profiles.athlete = athletes.athlete;
