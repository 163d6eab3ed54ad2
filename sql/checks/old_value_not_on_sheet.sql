-- One row per change whose old value is not the one that stood on the sheet.
select
    setting_history.change as id,
    setting_history.athlete,
    setting_history.profile,
    setting_history.setting,
    setting_history.old_value,
    setting_history.value_before
from setting_history
where
    setting_history.change is not null
    and (setting_history.value_before is null or abs(setting_history.value_before - setting_history.old_value) > 1e-9);
