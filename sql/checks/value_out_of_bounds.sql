-- One row per value of a setting outside the catalogue's bounds, or of a setting that the catalogue lacks.
select
    setting_history.change as id,
    setting_history.athlete,
    setting_history.profile,
    setting_history.setting,
    setting_history.value,
    setting_history.since
from setting_history
left join catalogue_now on setting_history.setting = catalogue_now.setting
where catalogue_now.setting is null or setting_history.value not between catalogue_now.low and catalogue_now.high;
