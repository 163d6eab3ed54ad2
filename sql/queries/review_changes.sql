-- One row per change of a setting in a season. Asked: athlete (null for all), first day, last day.
with asked as (
    select
        $1::varchar as athlete,
        $2::date as from_on,
        $3::date as to_on
)

select
    changes_now.change,
    changes_now.athlete,
    changes_now.chair,
    changes_now.profile,
    changes_now.setting,
    changes_now.old_value,
    changes_now.new_value,
    changes_now."on",
    changes_now.role,
    changes_now.reason,
    changes_now.planned,
    changes_now.bundle,
    changes_now.goes_back_to
from changes_now
inner join asked on changes_now."on" between asked.from_on and asked.to_on
where asked.athlete is null or changes_now.athlete = asked.athlete
order by changes_now."on", changes_now.change;
