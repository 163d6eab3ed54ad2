-- One row per id of a change: the id it has now, after its corrections.
create or replace view change_names as
with recursive names (name, change) as (
    select
        changes.change as name,
        changes.change
    from changes
    union
    select
        names.name,
        changes.change
    from names
    inner join changes on names.change = changes.supersedes
),

corrected as (
    select changes.supersedes as change
    from changes
    where changes.supersedes is not null
)

select
    names.name,
    names.change
from names
anti join corrected on names.change = corrected.change;
