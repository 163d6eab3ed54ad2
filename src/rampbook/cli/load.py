"""``rampbook load``: files of records into the store."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rampbook.cli.output import print_json, print_lines, print_notes, section
from rampbook.errors import EntryError
from rampbook.store import open_store
from rampbook.store.load import load_paths

if TYPE_CHECKING:
    from rampbook.store.load import LoadReport

SHOWN = 20
# Below this a load is over before anybody has read a line about it.
_LARGE_BYTES = 5_000_000


def load(
    paths: Annotated[list[Path], typer.Argument(metavar="PATH...", help="CSV, Parquet or xlsx files, or folders.")],
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    day_first: Annotated[bool, typer.Option("--day-first", help="Read 5/3/26 as 5 March.")] = False,
    month_first: Annotated[bool, typer.Option("--month-first", help="Read 5/3/26 as 3 May.")] = False,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Load CSV or xlsx files, or a folder of them, into the store.

    A file or sheet is known by its name (athletes, settings, changes, practices, attempts, counts, ratings, tries,
    events) or by its headings. Each row that cannot be used is set aside with the reason and what to do; the rest
    go in. Loading the same file again adds nothing. Practices dated after today go in too, with a note.
    """
    if day_first and month_first:
        raise EntryError("--day-first and --month-first cannot both hold. Give one; nothing was loaded.")
    with open_store(store) as opened:
        report = load_paths(
            opened,
            paths,
            day_first=True if day_first else False if month_first else None,
            progress=_progress(paths),
        )
    if json:
        print_json(report.to_dict())
    else:
        print_lines(_summary(report))
    print_notes(_ahead(report))
    if report.set_aside or report.dated_ahead:
        raise typer.Exit(1)


def register(app: typer.Typer) -> None:
    """Add the command to an app."""
    app.command()(load)


def _progress(paths: list[Path]) -> Callable[[str], None] | None:
    """Return what tells of progress when a file is large, else None."""
    files = [file for path in paths for file in (path.rglob("*") if path.is_dir() else [path]) if file.is_file()]
    if max((file.stat().st_size for file in files), default=0) < _LARGE_BYTES:
        return None
    return lambda line: print_notes([line])


def _summary(report: LoadReport) -> list[str]:
    """Return the report in plain words."""
    lines = [f"{table}: {_came_of(report, table)}" for table in report.loaded]
    if report.practices_made:
        lines.append(
            f"{report.practices_made} practices were made for days that only other tables spoke of; "
            "give them a length and a surface in practices."
        )
    lines += [
        f"{file}: kept beside the rows, though Rampbook does not use it: {', '.join(names)}"
        for file, names in report.kept_columns.items()
    ]
    aside = [str(row) for row in report.set_aside]
    lines += section(f"{len(aside)} set aside, kept as typed:", aside[:SHOWN]) if aside else []
    if len(aside) > SHOWN:
        lines.append(f"  … and {len(aside) - SHOWN} more; --json lists them all.")
    return lines or ["Nothing to load was found."]


def _ahead(report: LoadReport) -> list[str]:
    """Return the note on practices that are dated after today, if there are any."""
    listed = [f"{practice} ({on})" for practice, on in report.dated_ahead.items()]
    if not listed:
        return []
    count = "1 practice is" if len(listed) == 1 else f"{len(listed)} practices are"
    more = f" and {len(listed) - SHOWN} more" if len(listed) > SHOWN else ""
    return [f"Note: {count} dated after today: {', '.join(listed[:SHOWN])}{more}. Is that meant?"]


def _came_of(report: LoadReport, table: str) -> str:
    there = report.already_there.get(table, 0)
    return f"{report.loaded[table]:,} loaded" + (f", {there:,} already there" if there else "")
