-- One row per value of a setting for as long as it stood: from since up to, but not on, until.
-- A change always starts a new row. A reading starts one only when it finds another value; else it confirms.
-- change is the change that set the value, empty when it was read. readings are the days on which it was read.
-- place orders the rows of one setting; the place of the last row of a day is the value at the end of that day.
create or replace view setting_runs as
with starts as (
    select
        sheet_entries.athlete,
        sheet_entries.chair,
        sheet_entries.profile,
        sheet_entries.setting,
        sheet_entries.value,
        sheet_entries."on" as since,
        sheet_entries.change,
        sheet_entries.place,
        if(
            sheet_entries.change is null
            and sheet_entries.value = lag(sheet_entries.value) over (
                partition by
                    sheet_entries.athlete, sheet_entries.chair, sheet_entries.profile, sheet_entries.setting
                order by sheet_entries.place
            ),
            null,
            sheet_entries.place
        ) as begins_at
    from sheet_entries
),

runs as (
    select
        starts.*,
        max(starts.begins_at) over (
            partition by starts.athlete, starts.chair, starts.profile, starts.setting
            order by starts.place
        ) as run
    from starts
),

stood as (
    select
        runs.athlete,
        runs.chair,
        runs.profile,
        runs.setting,
        runs.run as place,
        arg_min(runs.value, runs.place) as value,
        min(runs.since) as since,
        any_value(runs.change) as change,
        coalesce(
            list(runs.since order by runs.place) filter (where runs.change is null),
            []
        ) as readings
    from runs
    group by runs.athlete, runs.chair, runs.profile, runs.setting, runs.run
)

select
    stood.athlete,
    stood.chair,
    stood.profile,
    stood.setting,
    stood.value,
    stood.since,
    lead(stood.since) over setting as until,
    lag(stood.value) over setting as value_before,
    stood.change,
    stood.readings,
    stood.place
from stood
window setting as (
    partition by stood.athlete, stood.chair, stood.profile, stood.setting
    order by stood.place
);
