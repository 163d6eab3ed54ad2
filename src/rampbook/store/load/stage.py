"""From a raw table of text to typed rows, each with the number of its first problem: one pass in SQL."""

from __future__ import annotations

from dataclasses import dataclass, field

import duckdb

from rampbook.store.load.columns import Column, TableSpec
from rampbook.store.load.problems import ProblemList, problems_of

TYPED = "typed_rows"
VERDICTS = "row_verdicts"
SAME = "row_same"
BEYOND = "beyond the headings"

_SQL_TYPES = {"number": "double", "whole": "integer", "flag": "integer", "date": "date", "time": "time"}
_READERS = {
    "code": "{0}",
    "text": "{0}",
    "name": "as_name({0})",
    "choice": "as_name({0})",
    "number": "as_number({0})",
    "whole": "as_whole({0})",
    "flag": "as_flag({0})",
    "time": "as_time({0})",
}


@dataclass(slots=True, kw_only=True)
class Batch:
    """One sheet on its way in.

    Attributes
    ----------
    connection : duckdb.DuckDBPyConnection
        The store's connection, in a transaction.
    spec : TableSpec
        The table.
    label : str
        File, and sheet, as the report calls it.
    raw : str
        Name of the raw table.
    places : dict of str to int
        Index of the raw column of each known column.
    headings : tuple of str
        Headings as typed.
    day_first : bool or None
        How to read 5/3/26 where the column itself does not tell.
    """

    connection: duckdb.DuckDBPyConnection
    spec: TableSpec
    label: str
    raw: str
    places: dict[str, int]
    headings: tuple[str, ...]
    day_first: bool | None = None
    problems: ProblemList = field(default_factory=ProblemList)
    kept: list[str] = field(default_factory=list)

    def one(self, sql: str, *params: object) -> int:
        """Return the one whole number that a select gives."""
        return int(self.connection.execute(sql, list(params)).fetchall()[0][0] or 0)

    def run(self, sql: str, *params: object) -> None:
        """Run a statement."""
        self.connection.execute(sql, list(params))


def stage(batch: Batch) -> None:
    """Make the table of typed rows with the number of each row's first problem, and empty tables of verdicts."""
    batch.problems = problems_of(batch.spec, present=set(batch.places))
    _list_the_record(batch)
    extra = _extra_json(batch)
    cells = [f'cell(c{place}) as "t_{name}"' for name, place in batch.places.items()]
    typed = [f'{_read(batch, column)} as "{column.name}"' for column in batch.spec.all_columns]
    names = [f'"{column.name}"' for column in batch.spec.all_columns]
    batch.run(
        f"create or replace temp table {TYPED} as "
        f"with cells as (select row_number, {', '.join(cells)}, {extra} as extra "
        f"from {batch.raw} where {_filled(batch)}), "
        f"typed as (select *, {', '.join(typed)} from cells), "
        f"{_joined(batch)} "
        f"select row_number, {', '.join(names)}, extra, {batch.problems.as_case()} as problem from joined"
    )
    batch.run(
        f'create or replace temp table {VERDICTS} (row_number bigint, "column" varchar, reason varchar, remedy varchar)'
    )
    batch.run(f"create or replace temp table {SAME} (row_number bigint)")


def _filled(batch: Batch) -> str:
    """Return the SQL condition that a row holds anything; sheets often end in empty rows."""
    cells = ", ".join(f"cell(c{i})" for i in range(len(batch.headings)))
    return f"coalesce({cells}) is not null"


def _read(batch: Batch, column: Column) -> str:
    """Return the SQL that reads the cell of one column."""
    if column.name not in batch.places:
        empty = f"null::{_SQL_TYPES.get(column.kind, 'varchar')}"
        return f"'{column.stands_for_empty}'" if column.stands_for_empty else empty
    cell = f'"t_{column.name}"'
    if column.kind == "date":
        day_first = {True: "true", False: "false", None: "null"}[_day_first(batch, column.name)]
        return f"as_date({cell}, {day_first})"
    read = _READERS[column.kind].format(cell)
    return f"coalesce({read}, '{column.stands_for_empty}')" if column.stands_for_empty else read


def _day_first(batch: Batch, name: str) -> bool | None:
    """Return how the column's own dates with slashes are written, else what the user said, else None.

    A day above 12 tells; when days above 12 stand in both places, the column was written both ways.
    """
    cell = f"cell(c{batch.places[name]})"
    first, second = (
        bool(
            batch.one(
                f"select count(*) from (select distinct {cell} as typed from {batch.raw}) "
                f"where is_slashed(typed) and slashed_part(typed, {place}) > 12"
            )
        )
        for place in (1, 2)
    )
    return first if first != second else batch.day_first


def _extra_json(batch: Batch) -> str:
    """Return the SQL for what stands in columns that Rampbook does not know, without the empty ones."""
    used = set(batch.places.values())
    names = {i: heading or f"column {i + 1}" for i, heading in enumerate(batch.headings) if i not in used} | {
        len(batch.headings): BEYOND
    }
    counts = ", ".join(f"count(cell(c{i}))" for i in names)
    row = batch.connection.execute(f"select {counts} from {batch.raw}").fetchall()[0]
    filled = [i for i, count in zip(names, row, strict=True) if count]
    batch.kept = [names[i] for i in filled]
    if not filled:
        return "null::json"
    pairs = ", ".join(f"{_quoted(names[i])}, cell(c{i})" for i in filled)
    # Merging into nothing drops the empty ones; a row with none at all has no extra.
    merged = f"json_merge_patch('{{}}', json_object({pairs}))"
    return f"nullif({merged}, '{{}}'::json)"


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _list_the_record(batch: Batch) -> None:
    """List the athletes and practices of the store once, under every id they have had."""
    batch.run(
        "create or replace temp table known_athletes as "
        "select athlete, arg_max(consent, logged_at) as consent_given from athletes_now group by athlete"
    )
    if batch.spec.by_practice:
        batch.run("create or replace temp table known_practices as select practice, athlete from practices")


def _joined(batch: Batch) -> str:
    """Return the CTE that puts what the store knows beside each row."""
    has_athlete = any(column.name == "athlete" for column in batch.spec.columns)
    if not has_athlete:
        return "joined as (select * from typed)"
    if not batch.spec.by_practice:
        return (
            "joined as (select typed.*, known_athletes.athlete is not null as athlete_is_known, consent_given "
            "from typed left join known_athletes on typed.athlete = known_athletes.athlete)"
        )
    return (
        "found as (select typed.* replace (coalesce(typed.athlete, known_practices.athlete) as athlete), "
        "known_practices.athlete as practice_athlete, "
        "typed.practice is not null and known_practices.practice is null as practice_is_unknown "
        "from typed left join known_practices on typed.practice = known_practices.practice), "
        "joined as (select found.*, known_athletes.athlete is not null as athlete_is_known, consent_given "
        "from found left join known_athletes on found.athlete = known_athletes.athlete)"
    )
