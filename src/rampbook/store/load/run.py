"""One load: every sheet of every file given, in the order in which tables refer to each other, whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from rampbook.errors import EntryError, SettingBlocked
from rampbook.store.connection import Store
from rampbook.store.load.bundles import check_bundles
from rampbook.store.load.columns import SPECS
from rampbook.store.load.identify import (
    check_corrections,
    compare_with_store,
    find_practices,
    name_rows,
    sort_out_repeats,
)
from rampbook.store.load.readers import ENDINGS, Sheet, UnreadableFileError, open_sheets, read_raw
from rampbook.store.load.report import LoadReport, SetAside
from rampbook.store.load.sheets import Refusal, check_settings, judge_changes
from rampbook.store.load.stage import Batch, stage
from rampbook.store.load.write import practices_ahead, set_aside_file, set_aside_rows, write_rows
from rampbook.store.sqlfiles import sql_text

Progress = Callable[[str], None]


def load_paths(
    store: Store,
    paths: Iterable[Path | str],
    *,
    day_first: bool | None = None,
    progress: Progress | None = None,
) -> LoadReport:
    """Load files, or folders of them, and report what came of every row; all of it is saved together, or nothing.

    Parameters
    ----------
    store : Store
        An open store.
    paths : iterable of Path or str
        CSV, Parquet or workbook files, or folders that hold them.
    day_first : bool, optional
        How to read a date like 5/3/26 in a column whose other dates do not tell. None sets such rows aside.
    progress : callable, optional
        Is told, in a few words, what is being done.

    Returns
    -------
    LoadReport
        Rows loaded and already there by table, and rows set aside.

    Raises
    ------
    EntryError
        When a path does not exist, or a folder holds nothing that could be loaded.
    """
    tell = progress or _silent
    report = LoadReport()
    aside: list[tuple[SetAside, str | None]] = []
    _define_macros(store)
    ready = [_read(store, sheet, f"raw_{number}", tell, aside) for number, sheet in enumerate(_sheets(paths, aside))]
    order = list(SPECS)
    batches = sorted(filter(None, ready), key=lambda batch: order.index(batch.spec.name))
    with store.transaction():
        for batch in batches:
            batch.day_first = day_first
            tell(f"{batch.label}: checking and saving")
            _take_in(batch, report)
        _keep_files(store, aside)
    for batch in batches:
        batch.run(f"drop table {batch.raw}")
    report.set_aside += [row for row, _ in aside]
    return report


def load_rows(store: Store, table: str, rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write rows by the same rules as a file; return their ids. One bad row and nothing is saved.

    Parameters
    ----------
    store : Store
        An open store.
    table : str
        Name of the table.
    rows : sequence of mapping
        Values by column name.

    Raises
    ------
    EntryError
        When a row cannot be used, or is there already under its id with other content.
    SettingBlocked
        When a rule of the settings stands in the way of a change.
    """
    spec = SPECS[table]
    known = [column.name for column in spec.all_columns]
    _refuse_unknown(table, known, rows)
    names = [name for name in known if any(row.get(name) is not None for row in rows)]
    _define_macros(store)
    columns = ", ".join(f"c{i} varchar" for i in range(len(names) + 1))
    with store.transaction():
        store.connection.execute(f"create or replace temp table raw_entry (row_number bigint, {columns})")
        marks = ", ".join("?" * (len(names) + 2))
        store.connection.executemany(
            f"insert into raw_entry values ({marks})",
            [[i + 1, *(_as_text(row.get(name)) for name in names), None] for i, row in enumerate(rows)],
        )
        batch = Batch(
            connection=store.connection,
            spec=spec,
            label="entry",
            raw="raw_entry",
            places={name: i for i, name in enumerate(names)},
            headings=tuple(names),
        )
        report = LoadReport()
        refusals = _take_in(batch, report, keep=False)
        if report.set_aside:
            # A row that falls only with another of its bundle says less than that other.
            raise _as_error(min(report.set_aside, key=lambda row: row.column == "bundle"), refusals)
        ids = store.connection.execute(f'select "{spec.id}" from typed_rows order by row_number').fetchall()
    return [row[0] for row in ids]


def _define_macros(store: Store) -> None:
    """Define how cells are read, once for each connection."""
    defined = "select 1 from duckdb_tables() where table_name = 'macros_defined'"
    if not store.connection.execute(defined).fetchall():
        store.connection.execute(sql_text("load", "macros"))


def _take_in(batch: Batch, report: LoadReport, *, keep: bool = True) -> dict[int, Refusal]:
    """Take one sheet through every check into its table, and add to the report."""
    stage(batch)
    report.practices_made += find_practices(batch)
    name_rows(batch)
    sort_out_repeats(batch)
    compare_with_store(batch)
    check_corrections(batch)
    check_settings(batch)
    check_bundles(batch)
    refusals = judge_changes(batch)
    loaded, there = write_rows(batch)
    table = batch.spec.name
    report.loaded[table] = report.loaded.get(table, 0) + loaded
    report.already_there[table] = report.already_there.get(table, 0) + there
    report.dated_ahead |= practices_ahead(batch, date.today())
    report.set_aside += set_aside_rows(batch, keep=keep)
    if batch.kept:
        report.kept_columns[batch.label] = batch.kept
    return refusals


def _sheets(paths: Iterable[Path | str], aside: list[tuple[SetAside, str | None]]) -> list[Sheet]:
    """Return every table in the files given; what is no table is set aside."""
    sheets: list[Sheet] = []
    for path, label in _files(paths):
        try:
            found = open_sheets(path, label)
        except UnreadableFileError as error:
            aside.append((_unusable(label, str(error)), None))
            continue
        for sheet in found:
            if sheet.layout is None:
                aside.append((_unknown(sheet), json.dumps(sheet.headings, ensure_ascii=False)))
            else:
                sheets.append(sheet)
    return sheets


def _files(paths: Iterable[Path | str]) -> list[tuple[Path, str]]:
    """Return the files to load, each with the name it has in the report."""
    files: list[tuple[Path, str]] = []
    for given in map(Path, paths):
        if not given.exists():
            raise EntryError(
                f"There is no file or folder {given}. Check the name; nothing was loaded.", value=str(given)
            )
        if given.is_file():
            files.append((given, given.name))
            continue
        inside = [
            path
            for path in sorted(given.rglob("*"))
            if path.is_file() and path.suffix.lower() in ENDINGS and not path.name.startswith((".", "~$"))
        ]
        if not inside:
            raise EntryError(
                f"The folder {given} holds no CSV, Parquet or xlsx file. Name another; nothing was loaded.",
                value=str(given),
            )
        files += [(path, path.relative_to(given).as_posix()) for path in inside]
    return files


def _read(
    store: Store, sheet: Sheet, raw: str, tell: Progress, aside: list[tuple[SetAside, str | None]]
) -> Batch | None:
    """Read one sheet into its raw table, or set it aside."""
    tell(f"{sheet.label}: reading")
    layout = sheet.layout
    if layout is None:
        return None
    try:
        rows = read_raw(store.connection, sheet, raw)
    except UnreadableFileError as error:
        aside.append((_unusable(sheet.label, str(error)), None))
        return None
    tell(f"{sheet.label}: {rows:,} rows read")
    return Batch(
        connection=store.connection,
        spec=layout.spec,
        label=sheet.label,
        raw=raw,
        places=layout.places,
        headings=layout.headings,
    )


def _unusable(label: str, why: str) -> SetAside:
    return SetAside(
        file=label,
        row=None,
        column=None,
        value=None,
        reason=why,
        remedy="Save it again as CSV (UTF-8) or xlsx and load it again.",
    )


def _unknown(sheet: Sheet) -> SetAside:
    """Return what is said of a table that is none of Rampbook's."""
    found = ", ".join(sheet.headings[:12]) or "no headings"
    return SetAside(
        file=sheet.label,
        row=None,
        column=None,
        value=None,
        reason=f"it is not clear which table this is; found: {found}",
        remedy=f"Name the file or sheet after its table ({', '.join(SPECS)}) and give its columns their headings.",
    )


def _keep_files(store: Store, aside: list[tuple[SetAside, str | None]]) -> None:
    """Store what is known of the files set aside, each once."""
    for row, content in aside:
        entry, *values = set_aside_file(row, content)
        store.connection.execute(
            'insert into set_aside (entry, file, "column", "value", reason, remedy, content) '
            "select ?, ?, ?, ?, ?, ?, ? where ? not in (select entry from set_aside)",
            [entry, *values, entry],
        )


def _as_text(value: Any) -> str | None:
    """Return a value as it would be typed."""
    if value is None:
        return None
    if isinstance(value, bool):
        return "1" if value else "0"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return str(value)


def _refuse_unknown(table: str, names: list[str], rows: Sequence[Mapping[str, Any]]) -> None:
    """Refuse a column that the table does not have."""
    for row in rows:
        unknown = sorted(row.keys() - set(names))
        if unknown:
            raise EntryError(
                f'{table} has no column "{unknown[0]}". It has {", ".join(names)}; nothing was saved.',
                field=unknown[0],
            )


def _as_error(row: SetAside, refusals: Mapping[int, Refusal]) -> EntryError:
    """Return the error for a single entry that cannot be used."""
    refusal = refusals.get(row.row or 0)
    message = f"{row.reason}. {row.remedy.replace(' and load the file again', '')} Nothing was saved."
    if refusal is not None and refusal.blocks:
        return SettingBlocked(
            message,
            value=row.value,
            blocked_by=[{"setting": b.setting, "value": b.value, "rule": b.rule} for b in refusal.blocks],
            steps=[{"setting": step.setting, "value": step.value} for step in refusal.steps],
        )
    return EntryError(message, field=row.column, value=row.value)


def _silent(_message: str) -> None:
    """Say nothing."""
