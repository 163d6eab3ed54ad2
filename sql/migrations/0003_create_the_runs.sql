-- Creates the tables of measured runs, and lets a chair say what its throw numbers mean.
-- Why: a picture of the response is a model until the real chair was measured, and a throw number can be read in two ways.
-- Old rows: none are touched; a chair without a throw_definition is read in the usual way.

create table runs (
    run varchar not null,
    athlete varchar not null,
    chair varchar,
    profile integer not null check (profile >= 0),
    direction varchar not null check (direction in ('forward', 'reverse')),
    "on" date not null,
    "time" time,
    start varchar not null check (start in ('standing', 'flying')),
    distance_m double not null check (isfinite(distance_m) and distance_m > 0),
    seconds double not null check (isfinite(seconds) and seconds > 0),
    dial_percent double check (isfinite(dial_percent) and dial_percent between 0 and 100),
    surface varchar,
    battery_percent double check (isfinite(battery_percent) and battery_percent between 0 and 100),
    method varchar,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table runs is 'Measured runs of a chair in a straight line. One row per run; a run with a speed trace has its samples in run_samples.';
comment on column runs.run is 'id of the run';
comment on column runs.athlete is 'code of the athlete who drove, or whose chair was driven';
comment on column runs.chair is 'code of the chair';
comment on column runs.profile is 'number of the drive profile in use';
comment on column runs.direction is 'forward or reverse';
comment on column runs."on" is 'day of the run; the setting sheet of that day is the one that was driven';
comment on column runs."time" is 'time of day, local clock';
comment on column runs.start is 'standing = from rest at the start of the distance, flying = at speed when the distance began';
comment on column runs.distance_m is 'distance covered, metres';
comment on column runs.seconds is 'time for that distance, seconds';
comment on column runs.dial_percent is 'position of the speed dial, percent';
comment on column runs.surface is 'floor that was driven on';
comment on column runs.battery_percent is 'charge of the battery at the start, percent';
comment on column runs.method is 'what measured it, in words: stopwatch, gates, logger';
comment on column runs.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column runs.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column runs.logged_at is 'the instant the row entered this store, UTC';

create table run_samples (
    run varchar not null,
    sample integer not null check (sample >= 1),
    time_s double not null check (isfinite(time_s)),
    speed_m_s double check (isfinite(speed_m_s)),
    distance_m double check (isfinite(distance_m))
);

comment on table run_samples is 'The speed trace of a run. One row per sample, in order of time.';
comment on column run_samples.run is 'id of the run';
comment on column run_samples.sample is 'place of the sample in the trace, from 1';
comment on column run_samples.time_s is 'time of the sample, seconds from any zero';
comment on column run_samples.speed_m_s is 'speed, metres a second; empty when the trace gave distance';
comment on column run_samples.distance_m is 'distance covered so far, metres from any zero; empty when the trace gave speed';

alter table chairs add column throw_definition varchar;

comment on column chairs.throw_definition is 'what a throw number of this chair means: full_at = the share of travel at which the command is full, at_full_travel = the command at full travel; empty = full_at';
