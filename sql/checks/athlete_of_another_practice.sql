-- One row per row whose athlete is not the one of its practice.
select
    'attempts' as in_table,
    attempts.attempt as id,
    attempts.athlete,
    practices.athlete as athlete_of_practice
from attempts
inner join practices on attempts.practice = practices.practice
where attempts.athlete <> practices.athlete
union all
select
    'counts' as in_table,
    counts.entry as id,
    counts.athlete,
    practices.athlete as athlete_of_practice
from counts
inner join practices on counts.practice = practices.practice
where counts.athlete <> practices.athlete
union all
select
    'ratings' as in_table,
    ratings.entry as id,
    ratings.athlete,
    practices.athlete as athlete_of_practice
from ratings
inner join practices on ratings.practice = practices.practice
where ratings.athlete <> practices.athlete
union all
select
    'tries' as in_table,
    tries.entry as id,
    tries.athlete,
    practices.athlete as athlete_of_practice
from tries
inner join practices on tries.practice = practices.practice
where tries.athlete <> practices.athlete;
