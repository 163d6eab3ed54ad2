-- One row per attempt, count, rating or tries whose numbers cannot be: NaN, infinite, or out of range.
select
    'attempts' as in_table,
    attempts.attempt as id
from attempts
where not isfinite(attempts.seconds) or attempts.seconds <= 0 or attempts.touches < 0
union all
select
    'ratings' as in_table,
    ratings.entry as id
from ratings
where not isfinite(ratings.rating) or ratings.rating not between 0 and 10
union all
select
    'tries' as in_table,
    tries.entry as id
from tries
where tries.successes > tries.tries;
