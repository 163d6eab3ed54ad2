-- One row per other athlete whose sheet or changes name a chair.
-- Parameters: chair, athlete.
select distinct sheet_entries.athlete
from sheet_entries
where
    sheet_entries.chair = $1
    and sheet_entries.athlete <> $2
order by sheet_entries.athlete;
