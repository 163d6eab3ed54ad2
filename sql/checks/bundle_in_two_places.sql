-- One row per bundle whose changes are not of one athlete, chair, profile and day, or change a setting twice.
select
    changes_now.bundle,
    count(*) as changes,
    min(changes_now.change) as first_change
from changes_now
where changes_now.bundle is not null
group by changes_now.bundle
having
    count(distinct row(changes_now.athlete, changes_now.chair, changes_now.profile, changes_now."on")) > 1
    or count(distinct changes_now.setting) < count(*);
