-- One row per value of a setting that was read or set, in the order in which it came to be.
-- A full check of a sheet comes before the changes of its day: changes say what they started from.
create or replace view sheet_entries as
with read_values as (
    select
        settings_now.athlete,
        settings_now.chair,
        settings_now.profile,
        settings_now.setting,
        settings_now.value,
        settings_now."on",
        null::time as "time",
        null::varchar as change,
        null::double as old_value,
        0 as rank,
        settings_now.logged_at
    from settings_now
),

set_values as (
    select
        changes_now.athlete,
        changes_now.chair,
        changes_now.profile,
        changes_now.setting,
        changes_now.new_value as value,
        changes_now."on",
        changes_now."time",
        changes_now.change,
        changes_now.old_value,
        1 as rank,
        changes_now.logged_at
    from changes_now
),

every_value as (
    select * from read_values
    union all
    select * from set_values
)

select
    every_value.athlete,
    every_value.chair,
    every_value.profile,
    every_value.setting,
    every_value.value,
    every_value."on",
    every_value."time",
    every_value.change,
    every_value.old_value,
    every_value.logged_at,
    row_number() over (
        partition by every_value.athlete, every_value.chair, every_value.profile, every_value.setting
        order by
            every_value."on", every_value.rank, every_value."time" nulls first, every_value.logged_at,
            every_value.change
    ) as place
from every_value;
