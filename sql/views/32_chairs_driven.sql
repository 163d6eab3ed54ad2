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

signs as (
    select
        sheet_entries.athlete,
        sheet_entries.chair,
        min(sheet_entries."on") filter (where sheet_entries.change is null) as read_on,
        min(sheet_entries."on") filter (where sheet_entries.change is not null) as changed_on
    from sheet_entries
    group by sheet_entries.athlete, sheet_entries.chair
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
