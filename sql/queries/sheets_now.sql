-- One row per setting of every sheet, as it stands now.
select
    setting_history.athlete,
    setting_history.chair,
    setting_history.profile,
    setting_history.setting,
    setting_history.value
from setting_history
where setting_history.until is null
order by setting_history.athlete, setting_history.chair, setting_history.profile, setting_history.setting;
