-- One row per change of the chair and profile that a change belongs to, in order of time.
-- Parameters: the id of the change.
select
    changes_now.change,
    changes_now.setting,
    changes_now.old_value,
    changes_now.new_value,
    changes_now."on",
    changes_now."time",
    changes_now.bundle
from changes_now
inner join changes_now as asked
    on
        changes_now.athlete = asked.athlete
        and changes_now.chair is not distinct from asked.chair
        and changes_now.profile = asked.profile
where asked.change = $1
order by changes_now."on", changes_now."time" nulls first, changes_now.logged_at, changes_now.change;
