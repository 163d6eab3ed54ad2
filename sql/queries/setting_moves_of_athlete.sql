-- One row per moment at which a setting came to stand at another value, in order of time: a change that was logged,
-- or a reading of the sheet that shows another value than before (change is empty then).
-- first_reading_on is the first day on which the chair is on a sheet of the athlete.
-- Parameters: athlete, last day.
with entries as (
    select
        sheet_entries.*,
        lag(sheet_entries.value) over setting as value_before,
        min(sheet_entries."on") over (partition by sheet_entries.chair) as first_reading_on
    from sheet_entries
    where
        sheet_entries.athlete = $1
        and coalesce(sheet_entries."on" <= $2::date, true)
    window setting as (
        partition by sheet_entries.chair, sheet_entries.profile, sheet_entries.setting
        order by sheet_entries.place
    )
)

select
    entries.chair,
    entries.profile,
    entries.setting,
    entries.value,
    coalesce(entries.value_before, entries.old_value) as value_before,
    entries."on",
    entries."time",
    entries.change,
    entries.first_reading_on,
    entries.logged_at
from entries
where entries.change is not null or entries.value <> entries.value_before or entries."on" = entries.first_reading_on
order by entries."on", entries."time" nulls first, entries.logged_at, entries.setting;
