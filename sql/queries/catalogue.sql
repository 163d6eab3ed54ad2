-- One row per setting that a sheet may hold.
select
    catalogue_now.setting,
    catalogue_now.unit,
    catalogue_now.low,
    catalogue_now.high,
    catalogue_now.meaning
from catalogue_now
order by catalogue_now.setting;
