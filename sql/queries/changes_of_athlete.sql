-- One row per change of an athlete as it stands after corrections, in order of time.
-- Parameters: athlete.
select
    changes_now.change,
    changes_now.chair,
    changes_now.profile,
    changes_now.setting,
    changes_now.old_value,
    changes_now.new_value,
    changes_now."on",
    changes_now.role,
    changes_now.reason,
    changes_now.planned,
    changes_now.bundle,
    changes_now.goes_back_to,
    changes_now.supersedes
from changes_now
where changes_now.athlete = $1
order by changes_now."on", changes_now."time" nulls first, changes_now.logged_at, changes_now.change;
