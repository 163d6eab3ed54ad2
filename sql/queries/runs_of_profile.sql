-- One row per measured run of one profile, oldest first, with the number of samples of its trace.
-- Parameters: athlete, profile, chair (null for every chair).
with counted as (
    select
        run_samples.run,
        count(*) as n_samples
    from run_samples
    group by run_samples.run
)

select
    runs_now.run,
    runs_now.chair,
    runs_now.direction,
    runs_now."on",
    runs_now."time",
    runs_now.start,
    runs_now.distance_m,
    runs_now.seconds,
    runs_now.dial_percent,
    runs_now.surface,
    runs_now.battery_percent,
    runs_now.method,
    coalesce(counted.n_samples, 0) as n_samples
from runs_now
left join counted on runs_now.run = counted.run
where
    runs_now.athlete = $1
    and runs_now.profile = $2::integer
    and ($3::varchar is null or runs_now.chair is null or runs_now.chair = $3::varchar)
order by runs_now."on", runs_now."time" nulls first, runs_now.logged_at, runs_now.run;
