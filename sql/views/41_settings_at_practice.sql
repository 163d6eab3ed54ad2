-- One row per practice, chair and profile: the settings then in force, as a map from setting to value.
-- A setting of the day of the practice is in force, unless both give a time of day that says otherwise.
create or replace view settings_at_practice as
with in_force as (
    select
        practices_now.practice,
        setting_history.chair,
        setting_history.profile,
        setting_history.setting,
        setting_history.value,
        setting_history.since,
        setting_history.place
    from practices_now
    inner join setting_history
        on
            practices_now.athlete = setting_history.athlete
            and (
                practices_now."on" > setting_history.since
                or (
                    practices_now."on" = setting_history.since
                    and coalesce(practices_now."time" >= setting_history.since_time, true)
                )
            )
),

latest as (
    select
        in_force.practice,
        in_force.chair,
        in_force.profile,
        in_force.setting,
        arg_max(in_force.value, in_force.place) as value,
        max(in_force.since) as since
    from in_force
    group by in_force.practice, in_force.chair, in_force.profile, in_force.setting
)

select
    latest.practice,
    latest.chair,
    latest.profile,
    map(list(latest.setting order by latest.setting), list(latest.value order by latest.setting)) as settings,
    max(latest.since) as last_touched
from latest
group by latest.practice, latest.chair, latest.profile;
