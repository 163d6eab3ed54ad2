-- One row per change that goes back to a change which is not there, or is of another setting.
select
    changes_now.change as id,
    changes_now.goes_back_to
from changes_now
left join changes on changes_now.goes_back_to = changes.change
where
    changes_now.goes_back_to is not null
    and (
        changes.change is null
        or changes.athlete <> changes_now.athlete
        or changes.profile <> changes_now.profile
        or changes.setting <> changes_now.setting
    );
