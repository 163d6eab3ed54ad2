-- One row per athlete and chair: the days that are stated, and the first sign of it on a sheet or in a change.
-- A chair that no row names has an empty code.
create or replace view chairs_driven as
with stated as (
    select
        chairs_now.entry,
        chairs_now.chair,
        chairs_now.athlete,
        chairs_now.scale,
        chairs_now.scale_definition,
        chairs_now.since,
        chairs_now.until,
        chairs_now.goals
    from chairs_now
),

-- Read from the tables, not from sheet_entries: the order of the values would cost more than all the rest.
readings as (
    select
        settings_now.athlete,
        settings_now.chair,
        min(settings_now."on") as read_on
    from settings_now
    group by settings_now.athlete, settings_now.chair
),

made as (
    select
        changes_now.athlete,
        changes_now.chair,
        min(changes_now."on") as changed_on
    from changes_now
    group by changes_now.athlete, changes_now.chair
),

signs as (
    select
        coalesce(readings.athlete, made.athlete) as athlete,
        coalesce(readings.chair, made.chair) as chair,
        readings.read_on,
        made.changed_on
    from readings
    full join made on readings.athlete = made.athlete and readings.chair is not distinct from made.chair
),

-- A chair without a stated athlete is that of whoever has a sheet of it.
known as (
    select
        coalesce(signs.athlete, stated.athlete) as athlete,
        coalesce(signs.chair, stated.chair) as chair,
        stated.entry,
        stated.scale,
        stated.scale_definition,
        stated.since,
        stated.until,
        stated.goals,
        signs.read_on,
        signs.changed_on
    from signs
    full join stated
        on
            signs.chair = stated.chair
            and (stated.athlete is null or signs.athlete = stated.athlete)
)

select
    known.athlete,
    known.chair,
    known.entry,
    known.scale,
    known.scale_definition,
    known.since,
    known.until,
    known.goals,
    known.read_on,
    known.changed_on
from known
where known.athlete is not null;
