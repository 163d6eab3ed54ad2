-- One row per value of a setting, with the days on which it stood: from since up to, but not on, until.
-- change is the change that set it, empty when it was read from a sheet.
create or replace view setting_history as
with neighbours as (
    select
        sheet_entries.*,
        lag(sheet_entries.value) over setting as value_before,
        lead(sheet_entries."on") over setting as until,
        lead(sheet_entries."time") over setting as until_time
    from sheet_entries
    window setting as (
        partition by sheet_entries.athlete, sheet_entries.chair, sheet_entries.profile, sheet_entries.setting
        order by sheet_entries.place
    )
)

select
    neighbours.athlete,
    neighbours.chair,
    neighbours.profile,
    neighbours.setting,
    neighbours.value,
    neighbours."on" as since,
    neighbours."time" as since_time,
    neighbours.until,
    neighbours.until_time,
    neighbours.change,
    neighbours.old_value,
    neighbours.value_before,
    neighbours.place
from neighbours;
