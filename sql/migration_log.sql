-- One row per migration applied to this store, and per build of its views.
create table migration_log (
    name varchar not null,
    checksum varchar not null,
    applied_at timestamp not null default (current_timestamp at time zone 'UTC')
);

comment on table migration_log is 'What was applied to this store. One row per migration, and one per build of the views.';
comment on column migration_log.name is 'name of the migration file, or views';
comment on column migration_log.checksum is 'SHA-256 of its text with plain line ends';
comment on column migration_log.applied_at is 'the instant it was applied, UTC';
