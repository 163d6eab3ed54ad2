-- One row per row of match_profiles that no later row corrects.
create or replace view match_profiles_now as
with corrected as (
    select match_profiles.supersedes as entry
    from match_profiles
    where match_profiles.supersedes is not null
)

select
    match_profiles.entry,
    match_profiles.athlete,
    match_profiles.chair,
    match_profiles.profile,
    match_profiles."on",
    match_profiles.supersedes,
    match_profiles.extra,
    match_profiles.logged_at
from match_profiles
anti join corrected on match_profiles.entry = corrected.entry;
