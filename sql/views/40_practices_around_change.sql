-- One row per change and practice of its athlete: how many days after the change, and on which side of it.
-- A practice on the day of the change counts as after it, unless both give a time of day that says otherwise.
create or replace view practices_around_change as
with pairs as (
    select
        changes_now.change,
        changes_now.athlete,
        changes_now.setting,
        changes_now."on" as changed_on,
        changes_now."time" as changed_at,
        practices_now.practice,
        practices_now."on",
        practices_now."time"
    from changes_now
    inner join practices_now on changes_now.athlete = practices_now.athlete
)

select
    pairs.change,
    pairs.athlete,
    pairs.setting,
    pairs.practice,
    pairs."on",
    pairs."time",
    date_diff('day', pairs.changed_on, pairs."on") as days_after,
    case
        when pairs."on" < pairs.changed_on then 'before'
        when pairs."on" = pairs.changed_on and pairs."time" < pairs.changed_at then 'before'
        else 'after'
    end as side
from pairs;
