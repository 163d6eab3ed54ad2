-- One row per row of changes that no later row corrects.
create or replace view changes_now as
with corrected as (
    select changes.supersedes as change
    from changes
    where changes.supersedes is not null
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
    coalesce(change_names.change, changes.goes_back_to) as goes_back_to,
    changes.bundle,
    changes.supersedes,
    changes.extra,
    changes.logged_at
from changes
anti join corrected on changes.change = corrected.change
left join change_names on changes.goes_back_to = change_names.name;
