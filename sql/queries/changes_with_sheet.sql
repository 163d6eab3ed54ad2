-- One row per change that stands, in order of time, with what became of it by the end of a day.
-- since is the change of the same setting before it: practices from then on were driven with the old value.
-- in_force: no later change of the setting, and no later reading of the sheet that shows another value.
-- Parameters: athlete or null for all, day or null for the whole record.
with made as (
    select
        changes_now.*,
        lag(changes_now."on") over setting as since,
        lag(changes_now."time") over setting as since_time,
        lead(changes_now."on") over setting as next_on
    from changes_now
    where
        ($1 is null or changes_now.athlete = $1)
        and coalesce(changes_now."on" <= $2::date, true)
    window setting as (
        partition by changes_now.athlete, changes_now.chair, changes_now.profile, changes_now.setting
        order by changes_now."on", changes_now."time" nulls first, changes_now.logged_at, changes_now.change
    )
),

readings as (
    select
        settings_now.athlete,
        settings_now.chair,
        settings_now.profile,
        settings_now.setting,
        max(settings_now."on") as "on",
        arg_max(settings_now.value, settings_now."on") as "value"
    from settings_now
    where coalesce(settings_now."on" <= $2::date, true)
    group by settings_now.athlete, settings_now.chair, settings_now.profile, settings_now.setting
)

select
    made.change,
    made.athlete,
    made.chair,
    made.profile,
    made.setting,
    made.old_value,
    made.new_value,
    made."on",
    made."time",
    made.goes_back_to,
    made.bundle,
    made.since,
    made.since_time,
    made.next_on is null
    and coalesce(readings."on" <= made."on" or readings.value = made.new_value, true) as in_force
from made
left join readings
    on
        made.athlete = readings.athlete
        and made.chair is not distinct from readings.chair
        and made.profile = readings.profile
        and made.setting = readings.setting
order by made."on", made."time" nulls first, made.logged_at, made.change;
