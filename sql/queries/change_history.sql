-- One row per row of changes that belongs to one change: the first statement of it and every correction, in order.
-- Parameters: any id that the change has had.
with current_name as (
    select change_names.change
    from change_names
    where change_names.name = $1
),

names as (
    select change_names.name
    from change_names
    inner join current_name on change_names.change = current_name.change
)

select
    changes.change,
    changes.athlete,
    changes.chair,
    changes.profile,
    changes.setting,
    changes.old_value,
    changes.new_value,
    changes."on",
    changes."time",
    changes.role,
    changes.reason,
    changes.planned,
    changes.bundle,
    changes.goes_back_to,
    changes.supersedes,
    changes.logged_at
from changes
inner join names on changes.change = names.name
order by changes.logged_at, changes.change;
