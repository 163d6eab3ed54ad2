-- Dates the chairs: since when, and until when, a chair is driven, and what the athlete wants from it.
-- Why: practices on two chairs are never one series, so the day of the change of chair must be on record.
-- Old rows: the new columns are empty, which means "not known".

alter table chairs add column since date;
alter table chairs add column until date;
alter table chairs add column goals varchar;

comment on column chairs.since is 'first day on which the chair was driven in practice';
comment on column chairs.until is 'last day on which it was driven in practice; empty while it is in use, or when not known';
comment on column chairs.goals is 'what the athlete wants from the chair, in words, without names';
