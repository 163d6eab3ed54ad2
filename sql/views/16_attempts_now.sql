-- One row per row of attempts that no later row corrects. Practices go by the id they have now.
create or replace view attempts_now as
with corrected as (
    select attempts.supersedes as attempt
    from attempts
    where attempts.supersedes is not null
)

select
    attempts.attempt,
    coalesce(practice_names.practice, attempts.practice) as practice,
    attempts.athlete,
    attempts.profile,
    attempts.drill,
    attempts.layout,
    attempts.seconds,
    attempts.finished,
    attempts.limit_s,
    attempts.touches,
    attempts.timer,
    attempts.supersedes,
    attempts.extra,
    attempts.logged_at
from attempts
anti join corrected on attempts.attempt = corrected.attempt
left join practice_names on attempts.practice = practice_names.name;
