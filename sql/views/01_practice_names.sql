-- One row per id of a practice: the id it has now, after its corrections.
create or replace view practice_names as
with recursive names (name, practice) as (
    select
        practices.practice as name,
        practices.practice
    from practices
    union
    select
        names.name,
        practices.practice
    from names
    inner join practices on names.practice = practices.supersedes
),

corrected as (
    select practices.supersedes as practice
    from practices
    where practices.supersedes is not null
)

select
    names.name,
    names.practice
from names
anti join corrected on names.practice = corrected.practice;
