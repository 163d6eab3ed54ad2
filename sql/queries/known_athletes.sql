-- One row per athlete that the store knows, however little.
select athletes_now.athlete
from athletes_now
union
select settings_now.athlete
from settings_now
union
select changes_now.athlete
from changes_now
union
select practices_now.athlete
from practices_now
order by athlete;
