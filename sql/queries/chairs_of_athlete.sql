-- One row per chair of an athlete, in the order in which they came into use as far as the record shows.
-- Parameters: athlete.
select
    chairs_driven.athlete,
    chairs_driven.chair,
    chairs_driven.entry,
    chairs_driven.scale,
    chairs_driven.scale_definition,
    chairs_driven.since,
    chairs_driven.until,
    chairs_driven.goals,
    chairs_driven.read_on,
    chairs_driven.changed_on
from chairs_driven
where chairs_driven.athlete = $1
order by
    coalesce(chairs_driven.since, chairs_driven.read_on, chairs_driven.changed_on) nulls last,
    chairs_driven.chair nulls first;
