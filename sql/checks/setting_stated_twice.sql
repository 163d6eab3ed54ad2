-- One row per setting that two standing rows of the catalogue speak of.
select
    catalogue_now.setting as id,
    count(*) as n
from catalogue_now
group by catalogue_now.setting
having count(*) > 1;
