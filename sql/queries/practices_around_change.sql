-- One row per practice of the change's athlete: days after the change and the side, oldest first.
-- Parameters: any id that the change has had.
select
    practices_around_change.practice,
    practices_around_change."on",
    practices_around_change."time",
    practices_around_change.days_after,
    practices_around_change.side
from practices_around_change
inner join change_names on practices_around_change.change = change_names.change
where change_names.name = $1
order by
    practices_around_change."on", practices_around_change."time" nulls first, practices_around_change.practice;
