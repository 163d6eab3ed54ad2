-- One row per row that loading set aside. Asked: athlete (null for all).
-- A row whose athlete cannot be read is shown to the squad only.
with asked as (
    select $1::varchar as athlete
)

select
    set_aside.file,
    set_aside."row",
    set_aside."column",
    set_aside."value",
    set_aside.reason,
    set_aside.remedy
from set_aside
cross join asked
where asked.athlete is null or set_aside.content ->> 'athlete' = asked.athlete
order by set_aside.file, set_aside."row", set_aside."column";
