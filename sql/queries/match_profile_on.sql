-- One row, or none: the profile that an athlete's matches are played on, as last stated by a day.
-- Parameters: athlete, day.
select
    match_profiles_now.entry,
    match_profiles_now.chair,
    match_profiles_now.profile,
    match_profiles_now."on"
from match_profiles_now
where
    match_profiles_now.athlete = $1
    and match_profiles_now."on" <= $2::date
qualify
    row_number() over (
        order by match_profiles_now."on" desc, match_profiles_now.logged_at desc, match_profiles_now.entry desc
    ) = 1;
