-- One row per athlete of whom two standing rows speak: it is not clear which consent holds.
select
    athletes_now.athlete as id,
    count(*) as n
from athletes_now
group by athletes_now.athlete
having count(*) > 1;
