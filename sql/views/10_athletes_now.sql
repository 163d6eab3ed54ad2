-- One row per athlete: what was last agreed to.
create or replace view athletes_now as
with corrected as (
    select athletes.supersedes as entry
    from athletes
    where athletes.supersedes is not null
)

select
    athletes.entry,
    athletes.athlete,
    athletes.birth_year,
    athletes.consent,
    athletes.consent_on,
    athletes.supersedes,
    athletes.extra,
    athletes.logged_at
from athletes
anti join corrected on athletes.entry = corrected.entry;
