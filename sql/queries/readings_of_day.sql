-- One row per setting read on a day from one profile of a chair, with how many changes have been logged since.
-- Parameters: athlete, chair, profile, day.
select
    settings_now.setting,
    settings_now.value,
    settings_now.entry,
    count(changes_now.change) as changes_since
from settings_now
left join changes_now
    on
        settings_now.athlete = changes_now.athlete
        and settings_now.chair is not distinct from changes_now.chair
        and settings_now.profile = changes_now.profile
        and settings_now.setting = changes_now.setting
        and settings_now."on" <= changes_now."on"
where
    settings_now.athlete = $1
    and settings_now.chair is not distinct from $2
    and settings_now.profile = $3
    and settings_now."on" = $4::date
group by settings_now.setting, settings_now.value, settings_now.entry
order by settings_now.setting;
