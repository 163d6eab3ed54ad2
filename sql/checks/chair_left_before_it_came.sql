-- One row per chair whose last day lies before its first.
select
    chairs_now.chair,
    chairs_now.since,
    chairs_now.until
from chairs_now
where chairs_now.until < chairs_now.since
order by chairs_now.chair;
