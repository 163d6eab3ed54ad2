-- One row per setting that a sheet may hold: its bounds as last stated.
create or replace view catalogue_now as
with corrected as (
    select catalogue.supersedes as entry
    from catalogue
    where catalogue.supersedes is not null
)

select
    catalogue.entry,
    catalogue.setting,
    catalogue.unit,
    catalogue.low,
    catalogue.high,
    catalogue.meaning,
    catalogue.supersedes,
    catalogue.extra,
    catalogue.logged_at
from catalogue
anti join corrected on catalogue.entry = corrected.entry;
