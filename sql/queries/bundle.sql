-- One row per change of a bundle as it stands after corrections, in order of time.
-- Parameters: id of the bundle.
select
    changes_now.change,
    changes_now.athlete,
    changes_now.chair,
    changes_now.profile,
    changes_now.setting,
    changes_now.old_value,
    changes_now.new_value,
    changes_now."on",
    changes_now."time",
    changes_now.role,
    changes_now.reason,
    changes_now.planned,
    changes_now.bundle,
    changes_now.goes_back_to
from changes_now
where changes_now.bundle = $1
order by changes_now."on", changes_now."time" nulls first, changes_now.logged_at, changes_now.change;
