-- One row per value that a setting of an athlete had in a stretch of days, oldest first.
-- For one day that is the value at its end; for several days also each value that was left on the way.
-- checked_on: the last day, up to the end of the stretch, on which the value was read from the chair.
-- Parameters: athlete, first day, last day, profile, chair and setting (null for every one).
with asked as (
    select
        setting_runs.*,
        list_max(list_filter(setting_runs.readings, lambda x: x <= $3::date)) as checked_on -- noqa: RF03
    from setting_runs
    where
        setting_runs.athlete = $1
        and setting_runs.since <= $3::date
        and ($4::integer is null or setting_runs.profile = $4::integer)
        and ($5::varchar is null or setting_runs.chair = $5::varchar)
        and ($6::varchar is null or setting_runs.setting = $6::varchar)
),

ranked as (
    select
        asked.*,
        row_number() over (
            partition by asked.chair, asked.profile, asked.setting
            order by asked.place desc
        ) as rank
    from asked
)

select
    ranked.profile,
    ranked.setting,
    ranked.value,
    ranked.since,
    ranked.change,
    ranked.chair,
    ranked.until,
    coalesce(ranked.value_before, changes_now.old_value) as old_value,
    changes_now.role,
    changes_now.reason,
    changes_now.planned,
    changes_now.bundle,
    changes_now.goes_back_to,
    changes_now.supersedes,
    ranked.checked_on,
    ranked.place
from ranked
left join changes_now on ranked.change = changes_now.change
where
    ranked.rank = 1
    or ($2::date < $3::date and ranked.until > $2::date)
    or ($2::date < $3::date and ranked.since >= $2::date)
order by ranked.chair nulls first, ranked.profile, ranked.setting, ranked.place;
