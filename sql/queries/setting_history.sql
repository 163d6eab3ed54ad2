-- One row per value of a setting of one athlete, oldest first.
-- Parameters: athlete.
select
    setting_history.chair,
    setting_history.profile,
    setting_history.setting,
    setting_history.value,
    setting_history.since,
    setting_history.until,
    setting_history.change
from setting_history
where setting_history.athlete = $1
order by setting_history.chair, setting_history.profile, setting_history.setting, setting_history.place;
