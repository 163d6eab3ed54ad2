"""The end of a sheet's way in: usable rows to their table, the others set aside as they were typed."""

from __future__ import annotations

import hashlib
from datetime import date

from rampbook.store.load.report import SetAside
from rampbook.store.load.stage import BEYOND, SAME, TYPED, VERDICTS, Batch

ASIDE = "rows_aside"


def write_rows(batch: Batch) -> tuple[int, int]:
    """Insert the usable rows; return how many went in, and how many were there already."""
    there = batch.one(f"select count(*) from {SAME}")
    names = ", ".join(f'"{name}"' for name in batch.spec.stored)
    left_out = (
        f"{TYPED}.problem is null and {TYPED}.row_number not in (select row_number from {VERDICTS}) "
        f"and {TYPED}.row_number not in (select row_number from {SAME})"
    )
    if not there and not batch.one(f"select count(*) from {VERDICTS}"):
        left_out = f"{TYPED}.problem is null"
    # Each row a microsecond after the one above it, so that the order of the sheet is not lost.
    logged = "(current_timestamp at time zone 'UTC')::timestamp + to_microseconds(row_number)"
    batch.run(
        f"insert into {batch.spec.name} ({names}, extra, logged_at) "
        f"select {names}, extra, {logged} from {TYPED} where {left_out}"
    )
    return batch.one(f"select count(*) from {TYPED} where {left_out}"), there


def practices_ahead(batch: Batch, today: date) -> dict[str, date]:
    """Return the practices that the sheet speaks of and that are dated after today, by id; written rows only."""
    if "practice" not in batch.spec.stored:
        return {}
    found = batch.connection.execute(
        f'select distinct p."on", p.practice from practices_now as p where p."on" > ? '
        f"and p.practice in (select practice from {TYPED} where problem is null) order by all",
        [today],
    ).fetchall()
    return {practice: on for on, practice in found}


def set_aside_rows(batch: Batch, *, keep: bool) -> list[SetAside]:
    """Return the rows that could not be used; with ``keep`` they are stored too, each once however often loaded."""
    found = batch.connection.execute(f"select distinct problem from {TYPED} where problem is not null").fetchall()
    if not found and not batch.one(f"select count(*) from {VERDICTS}"):
        return []
    _gather(batch, [number for (number,) in found])
    if keep:
        batch.run(
            'insert into set_aside (entry, file, "table", "row", "column", "value", reason, remedy, content) '
            f'select entry, file, "table", "row", "column", "value", reason, remedy, content from {ASIDE} '
            "where entry not in (select entry from set_aside)"
        )
    rows = batch.connection.execute(
        f'select file, "row", "column", "value", reason, remedy from {ASIDE} order by "row"'
    ).fetchall()
    fields = ("file", "row", "column", "value", "reason", "remedy")
    return [SetAside(**dict(zip(fields, row, strict=True))) for row in rows]


def set_aside_file(row: SetAside, content: str | None) -> tuple[str | None, ...]:
    """Return the row of the table ``set_aside`` for a whole file or sheet that could not be used."""
    parts = (row.file, row.value or "", row.reason, content or "")
    entry = hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:16]
    return (
        entry,
        row.file,
        row.column,
        row.value,
        row.reason,
        row.remedy,
        content,
    )


def _gather(batch: Batch, found: list[int]) -> None:
    """Put every row set aside, with its words and its content as typed, into one temporary table."""
    batch.run(
        'create or replace temp table problem_words '
        '(problem smallint, "column" varchar, reason varchar, remedy varchar)'
    )
    for number in found:
        problem = batch.problems.problems[number]
        batch.run(
            "insert into problem_words values (?, ?, ?, ?)",
            number,
            problem.column,
            problem.reason,
            problem.remedy,
        )
    arms = " ".join(f"when '{name}' then cell(raw.c{place})" for name, place in batch.places.items())
    value = f'case f."column" {arms} end'
    batch.run(
        f"create or replace temp table {ASIDE} as "
        "with found as ("
        f'select t.row_number, w."column", w.reason, w.remedy from {TYPED} as t '
        "inner join problem_words as w on t.problem = w.problem "
        f'union all select row_number, "column", reason, remedy from {VERDICTS}), '
        f'worded as (select f.row_number as "row", f."column", {value} as "value", '
        f"replace(f.reason, '{{value}}', coalesce({value}, '')) as reason, f.remedy, {_content(batch)} as content "
        f"from found as f inner join {batch.raw} as raw on f.row_number = raw.row_number) "
        'select left(sha256(concat_ws(chr(31), ?, "row"::varchar, "column", reason, content::varchar)), 16) as entry, '
        '? as file, ? as "table", worded.* from worded',
        batch.label,
        batch.label,
        batch.spec.name,
    )


def _content(batch: Batch) -> str:
    """Return the SQL of a raw row as JSON by heading, without its empty cells."""
    headings = [*(heading or f"column {i + 1}" for i, heading in enumerate(batch.headings)), BEYOND]
    pairs = ", ".join("'" + heading.replace("'", "''") + f"', cell(raw.c{i})" for i, heading in enumerate(headings))
    return f"json_merge_patch('{{}}', json_object({pairs}))"
