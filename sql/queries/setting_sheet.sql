-- One row per setting of an athlete's sheet as it stood at the end of a day.
-- Parameters: athlete, day, profile (null for every profile).
select
    setting_history.profile,
    setting_history.setting,
    setting_history.value,
    setting_history.since,
    setting_history.change,
    setting_history.chair
from setting_history
where
    setting_history.athlete = $1
    and setting_history.since <= $2::date
    and ($3::integer is null or setting_history.profile = $3::integer)
qualify
    row_number() over (
        partition by setting_history.chair, setting_history.profile, setting_history.setting
        order by setting_history.place desc
    ) = 1
order by setting_history.chair, setting_history.profile, setting_history.setting;
