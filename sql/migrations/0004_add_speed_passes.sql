-- Adds measured speeds, the limit they are held against, and the profile that a match is played on.
-- Why: the sport tests the speed before every match, forward and reverse, and a measurement goes stale with a change.
-- Old rows: none are touched.

create table speed_passes (
    entry varchar not null,
    athlete varchar not null,
    chair varchar,
    profile integer not null check (profile >= 0),
    direction varchar not null check (direction in ('forward', 'reverse')),
    "on" date not null,
    "time" time,
    gate_m double check (isfinite(gate_m) and gate_m > 0),
    seconds double check (isfinite(seconds) and seconds > 0),
    speed_kmh double check (isfinite(speed_kmh) and speed_kmh > 0),
    method varchar not null check (method in ('stopwatch', 'gates', 'rollers')),
    timer varchar,
    dial_percent double check (isfinite(dial_percent) and dial_percent between 0 and 100),
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC'),
    check ((gate_m is null) = (seconds is null)),
    check ((gate_m is null) <> (speed_kmh is null))
);

comment on table speed_passes is 'Measured speeds. One row per passage of a gate, or per reading of rollers, in one direction.';
comment on column speed_passes.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column speed_passes.athlete is 'code of the athlete';
comment on column speed_passes.chair is 'code of the chair';
comment on column speed_passes.profile is 'number of the drive profile in use';
comment on column speed_passes.direction is 'forward or reverse; the two are never mixed';
comment on column speed_passes."on" is 'day of the measurement';
comment on column speed_passes."time" is 'time of day of the measurement, local clock';
comment on column speed_passes.gate_m is 'length of the gate, metres; empty when a speed was read off';
comment on column speed_passes.seconds is 'time through the gate, seconds; empty when a speed was read off';
comment on column speed_passes.speed_kmh is 'speed read off, km/h; empty when a gate was timed';
comment on column speed_passes.method is 'how it was measured: stopwatch = by hand over a marked gate, gates = electronic gates, rollers';
comment on column speed_passes.timer is 'who or what timed it, by code';
comment on column speed_passes.dial_percent is 'position of the speed dial, percent';
comment on column speed_passes.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column speed_passes.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column speed_passes.logged_at is 'the instant the row entered this store, UTC';

create table speed_limits (
    entry varchar not null,
    direction varchar not null check (direction in ('forward', 'reverse')),
    limit_kmh double not null check (isfinite(limit_kmh) and limit_kmh > 0),
    gate_m double check (isfinite(gate_m) and gate_m > 0),
    gate_s double check (isfinite(gate_s) and gate_s > 0),
    "on" date not null,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC'),
    check ((gate_m is null) = (gate_s is null))
);

comment on table speed_limits is 'The speed limit that the club plays under, where it is not the usual one. One row per statement of a direction.';
comment on column speed_limits.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column speed_limits.direction is 'forward or reverse';
comment on column speed_limits.limit_kmh is 'the limit as the rule gives it, km/h';
comment on column speed_limits.gate_m is 'length of the gate that the rule gives for the same limit, metres; empty when it gives none';
comment on column speed_limits.gate_s is 'time through that gate at the limit, seconds; empty when the rule gives none';
comment on column speed_limits."on" is 'first day of the limit';
comment on column speed_limits.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column speed_limits.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column speed_limits.logged_at is 'the instant the row entered this store, UTC';

create table match_profiles (
    entry varchar not null,
    athlete varchar not null,
    chair varchar,
    profile integer not null check (profile >= 0),
    "on" date not null,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table match_profiles is 'The drive profile that should be active in a match. One row per statement about an athlete.';
comment on column match_profiles.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column match_profiles.athlete is 'code of the athlete';
comment on column match_profiles.chair is 'code of the chair';
comment on column match_profiles.profile is 'number of the drive profile that matches are played on';
comment on column match_profiles."on" is 'first day on which that holds';
comment on column match_profiles.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column match_profiles.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column match_profiles.logged_at is 'the instant the row entered this store, UTC';
