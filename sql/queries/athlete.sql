-- One row: what was last stated of an athlete.
-- Parameters: athlete.
select
    athletes_now.entry,
    athletes_now.athlete,
    athletes_now.birth_year,
    athletes_now.consent,
    athletes_now.consent_on
from athletes_now
where athletes_now.athlete = $1;
