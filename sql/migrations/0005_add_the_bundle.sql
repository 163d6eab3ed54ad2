-- Adds the bundle that a change belongs to: several settings of one profile that were changed in one go.
-- Why: what a bundle did can be estimated for all of it only, and going back must undo all of it.
-- Old rows: they belong to no bundle; changes that fall on one day are still seen by their day.

alter table changes add column bundle varchar;

comment on column changes.bundle is 'id of the bundle, shared by the changes made in one go; empty when the change was made alone';
