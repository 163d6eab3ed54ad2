-- One row per run that is not recorded although samples of its trace are.
select
    run_samples.run as id,
    count(*) as n
from run_samples
anti join runs on run_samples.run = runs.run
group by run_samples.run;
