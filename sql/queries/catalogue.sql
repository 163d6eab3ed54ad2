-- One row per setting of the club's catalogue, as it was last stated.
select
    catalogue.setting,
    catalogue.unit,
    catalogue.low,
    catalogue.high,
    catalogue.meaning
from catalogue
qualify row_number() over (partition by catalogue.setting order by catalogue.logged_at desc) = 1
order by catalogue.setting;
