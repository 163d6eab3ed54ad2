-- One row: the change that goes by this id now, whichever of its ids is given.
-- Parameters: any id that the change has had.
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
inner join change_names on changes_now.change = change_names.change
where change_names.name = $1;
