-- One row per sample of the trace of one run, in order.
-- Parameters: run.
select
    run_samples.time_s,
    run_samples.speed_m_s,
    run_samples.distance_m
from run_samples
where run_samples.run = $1
order by run_samples.sample;
