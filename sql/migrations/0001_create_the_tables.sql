-- Creates the tables of the club's record.
-- Why here, and once: constraints cannot be added to a DuckDB table later, so they are settled from the start.
-- Old rows: there are none.
--
-- Every table of entries has supersedes (a correction is a new row; nothing is written over), extra (unknown
-- columns) and logged_at. isfinite() stands in each numeric check because NaN passes a comparison.

create table athletes (
    entry varchar not null,
    athlete varchar not null check (not regexp_matches(athlete, '\s')),
    birth_year integer check (birth_year between 1900 and 2100),
    consent varchar check (consent in ('club', 'pool', 'none')),
    consent_on date,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table athletes is 'Athletes, by code, and what they agreed to. One row per statement of an athlete; the current one is in athletes_now.';
comment on column athletes.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column athletes.athlete is 'code of the athlete, never a name';
comment on column athletes.birth_year is 'year of birth, calendar year';
comment on column athletes.consent is 'what the athlete agreed to: club = kept and used in the club, pool = also shared without the code, none = nothing';
comment on column athletes.consent_on is 'day on which the consent was given or changed';
comment on column athletes.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column athletes.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column athletes.logged_at is 'the instant the row entered this store, UTC';

create table chairs (
    entry varchar not null,
    chair varchar not null,
    athlete varchar,
    scale varchar,
    scale_definition varchar,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table chairs is 'Chairs, by code, and the scale that the numbers of their settings are on. One row per statement about a chair.';
comment on column chairs.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column chairs.chair is 'code of the chair';
comment on column chairs.athlete is 'code of the athlete who drives it';
comment on column chairs.scale is 'id of the scale of the chair''s settings; numbers of two scales are never compared';
comment on column chairs.scale_definition is 'what the numbers of the scale mean, for example for throw: the deflection at which the command reaches 100%';
comment on column chairs.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column chairs.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column chairs.logged_at is 'the instant the row entered this store, UTC';

create table drills (
    entry varchar not null,
    drill varchar not null,
    layout varchar,
    since date,
    description varchar,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table drills is 'Drills and the versions of their layout. One row per version.';
comment on column drills.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column drills.drill is 'name of the drill, as in the outcome drill:NAME';
comment on column drills.layout is 'version of the layout: times of two layouts are not compared';
comment on column drills.since is 'first day of the layout';
comment on column drills.description is 'distances, cones, direction, start and stop of the clock';
comment on column drills.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column drills.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column drills.logged_at is 'the instant the row entered this store, UTC';

create table catalogue (
    entry varchar not null,
    setting varchar not null,
    unit varchar not null,
    low double not null check (isfinite(low)),
    high double not null check (isfinite(high)),
    meaning varchar,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC'),
    check (high > low)
);

comment on table catalogue is 'The settings that a sheet may hold, with their bounds and meaning. One row per statement of a setting; a club may add its own.';
comment on column catalogue.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column catalogue.setting is 'name of the setting';
comment on column catalogue.unit is 'unit of its values; 1 = the chair''s own scale, % = percent of the joystick''s travel';
comment on column catalogue.low is 'lowest value that can be set, in the unit';
comment on column catalogue.high is 'highest value that can be set, in the unit';
comment on column catalogue.meaning is 'what the setting does, in plain words';
comment on column catalogue.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column catalogue.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column catalogue.logged_at is 'the instant the row entered this store, UTC';

create table settings (
    entry varchar not null,
    athlete varchar not null,
    chair varchar,
    profile integer not null check (profile >= 0),
    setting varchar not null,
    value double not null check (isfinite(value)),
    "on" date not null,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table settings is 'Setting sheets: the sheet a chair started with, or a full check of it later. One row per setting of a profile read from the chair.';
comment on column settings.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column settings.athlete is 'code of the athlete';
comment on column settings.chair is 'code of the chair';
comment on column settings.profile is 'number of the drive profile';
comment on column settings.setting is 'name of the setting, as in the catalogue';
comment on column settings.value is 'value read, on the chair''s own scale';
comment on column settings."on" is 'day on which it was read';
comment on column settings.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column settings.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column settings.logged_at is 'the instant the row entered this store, UTC';

create table changes (
    change varchar not null,
    athlete varchar not null,
    chair varchar,
    profile integer not null check (profile >= 0),
    setting varchar not null,
    old_value double not null check (isfinite(old_value)),
    new_value double not null check (isfinite(new_value)),
    "on" date not null,
    "time" time,
    role varchar,
    reason varchar,
    planned integer check (planned in (0, 1)),
    goes_back_to varchar,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC'),
    check (new_value <> old_value)
);

comment on table changes is 'Changes of one setting. One row per change; a return to the old value is a change that names the first.';
comment on column changes.change is 'id of the change';
comment on column changes.athlete is 'code of the athlete';
comment on column changes.chair is 'code of the chair';
comment on column changes.profile is 'number of the drive profile that was changed';
comment on column changes.setting is 'name of the setting, as in the catalogue';
comment on column changes.old_value is 'value before, on the chair''s own scale';
comment on column changes.new_value is 'value after, on the chair''s own scale';
comment on column changes."on" is 'day of the change';
comment on column changes."time" is 'time of day of the change, local clock';
comment on column changes.role is 'role of the person who changed it, never a name';
comment on column changes.reason is 'why it was changed, or what it reacted to';
comment on column changes.planned is '1 = planned beforehand, 0 = a reaction to something';
comment on column changes.goes_back_to is 'id of the change that this one undoes';
comment on column changes.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column changes.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column changes.logged_at is 'the instant the row entered this store, UTC';

create table practices (
    practice varchar not null,
    athlete varchar not null,
    "on" date not null,
    "time" time,
    minutes double check (isfinite(minutes) and minutes > 0),
    surface varchar,
    battery_percent double check (isfinite(battery_percent) and battery_percent between 0 and 100),
    dial_percent double check (isfinite(dial_percent) and dial_percent between 0 and 100),
    fatigue double check (isfinite(fatigue) and fatigue between 0 and 10),
    pain double check (isfinite(pain) and pain between 0 and 10),
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table practices is 'Practices. One row per practice of one athlete.';
comment on column practices.practice is 'id of the practice';
comment on column practices.athlete is 'code of the athlete';
comment on column practices."on" is 'day of the practice';
comment on column practices."time" is 'time of day it began, local clock';
comment on column practices.minutes is 'length, minutes';
comment on column practices.surface is 'floor that was driven on';
comment on column practices.battery_percent is 'charge of the battery at the start, percent';
comment on column practices.dial_percent is 'position of the speed dial, percent';
comment on column practices.fatigue is 'fatigue before the practice, rating 0 to 10';
comment on column practices.pain is 'pain before the practice, rating 0 to 10';
comment on column practices.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column practices.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column practices.logged_at is 'the instant the row entered this store, UTC';

create table attempts (
    attempt varchar not null,
    practice varchar not null,
    athlete varchar not null,
    profile integer check (profile >= 0),
    drill varchar not null,
    layout varchar,
    seconds double check (isfinite(seconds) and seconds > 0),
    finished integer check (finished in (0, 1)),
    limit_s double check (isfinite(limit_s) and limit_s > 0),
    touches integer check (touches >= 0),
    timer varchar,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table attempts is 'Timed attempts at a drill. One row per attempt. No primary key: its index would double the time to load a million rows; loading and the checks keep the ids unique.';
comment on column attempts.attempt is 'id of the attempt';
comment on column attempts.practice is 'id of the practice';
comment on column attempts.athlete is 'code of the athlete';
comment on column attempts.profile is 'number of the drive profile in use';
comment on column attempts.drill is 'name of the drill';
comment on column attempts.layout is 'version of the drill''s layout';
comment on column attempts.seconds is 'time taken, seconds; empty when the attempt was not finished';
comment on column attempts.finished is '1 = finished, 0 = not finished within the limit';
comment on column attempts.limit_s is 'time limit, seconds';
comment on column attempts.touches is 'cones or walls touched, count';
comment on column attempts.timer is 'who or what timed it, by code';
comment on column attempts.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column attempts.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column attempts.logged_at is 'the instant the row entered this store, UTC';

create table counts (
    entry varchar not null,
    practice varchar not null,
    athlete varchar not null,
    profile integer check (profile >= 0),
    outcome varchar not null,
    count integer not null check (count >= 0),
    minutes double check (isfinite(minutes) and minutes > 0),
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table counts is 'Counts of something in a practice. One row per outcome.';
comment on column counts.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column counts.practice is 'id of the practice';
comment on column counts.athlete is 'code of the athlete';
comment on column counts.profile is 'number of the drive profile in use';
comment on column counts.outcome is 'name of the outcome';
comment on column counts.count is 'how many, count';
comment on column counts.minutes is 'time in which they were counted, minutes';
comment on column counts.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column counts.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column counts.logged_at is 'the instant the row entered this store, UTC';

create table ratings (
    entry varchar not null,
    practice varchar not null,
    athlete varchar not null,
    profile integer check (profile >= 0),
    outcome varchar not null,
    rating double not null check (isfinite(rating) and rating between 0 and 10),
    "by" varchar check ("by" in ('self', 'told', 'guess')),
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table ratings is 'Ratings by the athlete. One row per rating.';
comment on column ratings.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column ratings.practice is 'id of the practice';
comment on column ratings.athlete is 'code of the athlete';
comment on column ratings.profile is 'number of the drive profile in use';
comment on column ratings.outcome is 'name of the outcome';
comment on column ratings.rating is 'rating, 0 to 10';
comment on column ratings."by" is 'self = the athlete gave it, told = somebody wrote down what the athlete said, guess = somebody else''s guess';
comment on column ratings.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column ratings.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column ratings.logged_at is 'the instant the row entered this store, UTC';

create table tries (
    entry varchar not null,
    practice varchar not null,
    athlete varchar not null,
    profile integer check (profile >= 0),
    outcome varchar not null,
    successes integer not null check (successes >= 0),
    tries integer not null check (tries >= 1),
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC'),
    check (successes <= tries)
);

comment on table tries is 'Successes of tries. One row per outcome of a practice.';
comment on column tries.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column tries.practice is 'id of the practice';
comment on column tries.athlete is 'code of the athlete';
comment on column tries.profile is 'number of the drive profile in use';
comment on column tries.outcome is 'name of the outcome';
comment on column tries.successes is 'tries that succeeded, count';
comment on column tries.tries is 'tries in all, count';
comment on column tries.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column tries.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column tries.logged_at is 'the instant the row entered this store, UTC';

create table events (
    entry varchar not null,
    athlete varchar not null,
    "on" date not null,
    "time" time,
    event varchar not null check (event in ('new_joystick', 'calibration', 'seating', 'tyres', 'battery', 'illness', 'growth', 'surface', 'timer', 'other')),
    note varchar,
    supersedes varchar,
    extra json,
    logged_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table events is 'Other things that happened and could explain a difference. One row per event.';
comment on column events.entry is 'id of the row, made from its key columns unless the file gives one, so that two machines make the same one';
comment on column events.athlete is 'code of the athlete';
comment on column events."on" is 'day of the event';
comment on column events."time" is 'time of day, local clock';
comment on column events.event is 'what kind of thing happened';
comment on column events.note is 'what happened, in words, without names';
comment on column events.supersedes is 'the id of the row of this table that this row corrects; both stay; empty when it corrects nothing';
comment on column events.extra is 'what stood in columns that Rampbook does not know, by heading; empty when there were none';
comment on column events.logged_at is 'the instant the row entered this store, UTC';

create table set_aside (
    entry varchar not null,
    file varchar not null,
    "table" varchar,
    "row" bigint,
    "column" varchar,
    "value" varchar,
    reason varchar not null,
    remedy varchar not null,
    content json,
    loaded_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table set_aside is 'Rows of files that could not be used, as they were typed. One row per row set aside; loading the same file again adds none.';
comment on column set_aside.entry is 'id of the row, made from its content';
comment on column set_aside.file is 'file, and sheet, that it stood in';
comment on column set_aside."table" is 'table it was meant for, where that was clear';
comment on column set_aside."row" is 'line of the file or row of the sheet, counted from 1 with the heading';
comment on column set_aside."column" is 'column with the value that could not be used';
comment on column set_aside."value" is 'that value as typed';
comment on column set_aside.reason is 'why it could not be used';
comment on column set_aside.remedy is 'what to do';
comment on column set_aside.content is 'the whole row as typed, by heading';
comment on column set_aside.loaded_at is 'the instant of the load, UTC';
