-- One row per value of a setting, in the store or about to enter it, in the order in which it came to be; only for
-- the chairs of athletes that the sheet being loaded speaks of. row_number is empty for what the store has.
with corrected as (
    select typed_rows.supersedes as change
    from typed_rows
    anti join row_verdicts on typed_rows.row_number = row_verdicts.row_number
    where typed_rows.supersedes is not null and typed_rows.problem is null
),

candidates as (
    select typed_rows.*
    from typed_rows
    anti join row_verdicts on typed_rows.row_number = row_verdicts.row_number
    anti join row_same on typed_rows.row_number = row_same.row_number
    where typed_rows.problem is null
),

standing as (
    select sheet_entries.*
    from sheet_entries
    anti join corrected on sheet_entries.change = corrected.change
    semi join candidates
        on
            sheet_entries.athlete = candidates.athlete
            and sheet_entries.chair is not distinct from candidates.chair
),

together as (
    select
        null::bigint as row_number,
        standing.athlete,
        standing.chair,
        standing.profile,
        standing.setting,
        standing."on",
        standing."time",
        standing.change,
        standing.old_value,
        standing.value,
        null::varchar as goes_back_to,
        null::varchar as bundle,
        case when standing.change is null then 0 else 1 end as rank,
        standing.logged_at
    from standing
    union all
    select
        candidates.row_number,
        candidates.athlete,
        candidates.chair,
        candidates.profile,
        candidates.setting,
        candidates."on",
        candidates."time",
        candidates.change,
        candidates.old_value,
        candidates.new_value as value,
        candidates.goes_back_to,
        candidates.bundle,
        1 as rank,
        null as logged_at
    from candidates
    anti join corrected on candidates.change = corrected.change
)

select
    together.row_number,
    together.athlete,
    together.chair,
    together.profile,
    together.setting,
    together."on",
    together.change,
    together.old_value,
    together.value,
    together.goes_back_to,
    together.bundle
from together
order by
    together.athlete, together.chair nulls first, together."on", together.rank, together."time" nulls first,
    together.logged_at nulls last, together.row_number;
