-- One row per row of ratings that no later row corrects. Practices go by the id they have now.
create or replace view ratings_now as
with corrected as (
    select ratings.supersedes as entry
    from ratings
    where ratings.supersedes is not null
)

select
    ratings.entry,
    coalesce(practice_names.practice, ratings.practice) as practice,
    ratings.athlete,
    ratings.profile,
    ratings.outcome,
    ratings.rating,
    ratings."by",
    ratings.supersedes,
    ratings.extra,
    ratings.logged_at
from ratings
anti join corrected on ratings.entry = corrected.entry
left join practice_names on ratings.practice = practice_names.name;
