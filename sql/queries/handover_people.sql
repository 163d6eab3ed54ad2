-- One row per role that changed settings, and per code that timed: how often, first and last day.
-- Asked: athlete, first day, last day.
with done as (
    select
        'changed settings' as did,
        coalesce(changes_now.role, 'role not written down') as who,
        changes_now."on"
    from changes_now
    where changes_now.athlete = $1
    union all
    select
        'timed drills' as did,
        attempts_now.timer as who,
        practices_now."on"
    from attempts_now
    inner join practices_now on attempts_now.practice = practices_now.practice
    where attempts_now.athlete = $1 and attempts_now.timer is not null
    union all
    select
        'timed the speed' as did,
        speed_passes_now.timer as who,
        speed_passes_now."on"
    from speed_passes_now
    where speed_passes_now.athlete = $1 and speed_passes_now.timer is not null
)

select
    done.did,
    done.who,
    count(*) as times,
    min(done."on") as first_on,
    max(done."on") as last_on
from done
where done."on" between $2::date and $3::date
group by done.did, done.who
order by done.did asc, times desc, done.who asc;
