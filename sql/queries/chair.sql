-- One row per statement that stands about a chair: whose it is, its scale, its days, and whether it has a sheet.
-- Parameters: chair.
select
    chairs_now.entry,
    chairs_now.chair,
    chairs_now.athlete,
    chairs_now.scale,
    chairs_now.scale_definition,
    chairs_now.throw_definition,
    chairs_now.since,
    chairs_now.until,
    chairs_now.goals,
    exists(
        select 1
        from sheet_entries
        where sheet_entries.chair = chairs_now.chair
    ) as has_sheet
from chairs_now
where chairs_now.chair = $1
order by chairs_now.logged_at desc, chairs_now.entry asc;
