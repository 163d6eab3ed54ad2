-- One row per row whose practice is not there.
select
    'attempts' as in_table,
    attempts.attempt as id,
    attempts.practice
from attempts
anti join practices on attempts.practice = practices.practice
union all
select
    'counts' as in_table,
    counts.entry as id,
    counts.practice
from counts
anti join practices on counts.practice = practices.practice
union all
select
    'ratings' as in_table,
    ratings.entry as id,
    ratings.practice
from ratings
anti join practices on ratings.practice = practices.practice
union all
select
    'tries' as in_table,
    tries.entry as id,
    tries.practice
from tries
anti join practices on tries.practice = practices.practice;
