-- One row per change that stands, in order of time, of one athlete or all, between two days.
-- Parameters: athlete or null for all, first day or null, last day or null.
select
    changes_now.change,
    changes_now.athlete,
    changes_now.chair,
    changes_now.profile,
    changes_now.setting,
    changes_now.old_value,
    changes_now.new_value,
    changes_now."on",
    changes_now.bundle,
    changes_now.goes_back_to
from changes_now
where
    ($1 is null or changes_now.athlete = $1)
    and ($2::date is null or changes_now."on" >= $2::date)
    and ($3::date is null or changes_now."on" <= $3::date)
order by changes_now."on", changes_now."time" nulls first, changes_now.logged_at, changes_now.change;
