"""Measured runs: reading a speed trace from a CSV file, logging a run, and reading runs back."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rampbook.domain.trace import LONGEST_STEP_S, Trace, trace_of
from rampbook.errors import EntryError
from rampbook.store.connection import Store
from rampbook.store.saved import Saved, record_rows

COLUMNS = ("time_s", "speed_m_s", "distance_m")
MOST_SAMPLES = 200_000
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")
_NOTHING = "Nothing was saved."


@dataclass(frozen=True, slots=True, kw_only=True)
class _File:
    """Where a cell stands: the file's name, and which column of the file holds which quantity."""

    name: str
    places: Mapping[str, int]


def read_trace(path: Path) -> Trace:
    """Return the trace in a CSV file: ``time_s``, and ``speed_m_s`` or ``distance_m``, one row a sample.

    Commas, semicolons or tabs part the columns; with semicolons or tabs a decimal comma is read too. Other columns
    are passed over, and so are empty rows.

    Raises
    ------
    EntryError
        When the file cannot be read, lacks a column, or a cell is not a number later than the one before; the message
        names the row, the column and the value.
    """
    lines = _lines(path)
    if not lines:
        raise EntryError(f"{path.name} is empty: it needs the headings time_s and speed_m_s. {_NOTHING}")
    mark = max(";\t,", key=lines[0].count)
    rows = list(csv.reader(lines, delimiter=mark))
    file = _File(name=path.name, places=_places(path.name, rows[0]))
    samples: list[dict[str, float | None]] = []
    before: float | None = None
    for number, cells in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        sample = {name: _cell(file, number, name, cells) for name in file.places}
        before = _in_order(file, number, sample["time_s"], before)
        samples.append({name: sample.get(name) for name in COLUMNS})
    _refuse_size(path.name, len(samples))
    return trace_of(samples)


def record_run(store: Store, run: Mapping[str, Any], trace: Trace | None = None) -> Saved:
    """Save one run, and the samples of its trace when it has one, together or not at all.

    Raises
    ------
    EntryError
        When a value cannot be used, the athlete is unknown or has not agreed, or the run is there with other content.
    """
    with store.transaction():
        saved = record_rows(store, {"runs": [run]})
        if trace is not None and saved.n_added:
            _save_samples(store, saved.ids["runs"][0], trace)
    return saved


def runs_of(store: Store, athlete: str, profile: int, chair: str | None) -> list[dict[str, Any]]:
    """Return the runs of one profile, oldest first, each with ``n_samples`` of its trace."""
    return store.rows("runs_of_profile", athlete, profile, chair)


def trace_of_run(store: Store, run: str) -> Trace | None:
    """Return the trace of a run; None when it was a distance and a time."""
    samples = store.rows("run_samples", run)
    return trace_of(samples) if samples else None


def _save_samples(store: Store, run: str, trace: Trace) -> None:
    """Save the samples in one statement: row by row would take seconds."""
    empty: Sequence[float | None] = [None] * len(trace.time_s)
    # Named $-parameters are read as lists of numbers; an empty column is a list of nothings.
    store.connection.execute(
        "insert into run_samples (run, sample, time_s, speed_m_s, distance_m) "
        "select ?, unnest(?::integer[]), unnest(?::double[]), unnest(?::double[]), unnest(?::double[])",
        [
            run,
            list(range(1, len(trace.time_s) + 1)),
            list(trace.time_s),
            list(trace.speed_m_s or empty),
            list(trace.distance_m or empty),
        ],
    )


def _lines(path: Path) -> list[str]:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise EntryError(
            f"{path.name} is not a text file in UTF-8. Save it as CSV (UTF-8). {_NOTHING}", field="--trace"
        ) from None
    except OSError as error:
        why = (error.strerror or "the system refused").lower()
        raise EntryError(f"{path} could not be read ({why}). {_NOTHING}", field="--trace", value=str(path)) from error
    return text.splitlines() if text.strip() else []


def _places(name: str, headings: Sequence[str]) -> dict[str, int]:
    """Return where the known columns stand."""
    found = [heading.strip().strip('"').lower() for heading in headings]
    places = {column: found.index(column) for column in COLUMNS if column in found}
    if "time_s" not in places or len(places) < 2:
        raise EntryError(
            f"{name} row 1 has the headings {', '.join(h or '(empty)' for h in found[:8])}: a trace needs time_s and "
            f"either speed_m_s or distance_m. {_NOTHING}",
            field="--trace",
        )
    if "speed_m_s" in places:
        places.pop("distance_m", None)
    return places


def _cell(file: _File, row: int, column: str, cells: Sequence[str]) -> float:
    place = file.places[column]
    text = cells[place].strip() if place < len(cells) else ""
    value = float(text.replace(",", ".")) if _NUMBER.fullmatch(text) else math.nan
    if not math.isfinite(value):
        raise EntryError(
            f'{file.name} row {row}, {column} is "{text}": it must be a number such as 2.31. '
            f"Correct the cell, or take the row out. {_NOTHING}",
            field=column,
            value=text,
        )
    return value


def _in_order(file: _File, row: int, time: float, before: float | None) -> float:
    """Return the time of this row, when it comes after the row before and not too long after."""
    if before is not None and not 0 < time - before <= LONGEST_STEP_S + 1e-9:
        why = (
            f"it must be later than the row before ({before:g})"
            if time <= before
            else f"that is {time - before:.3g} s after the row before, and at most {LONGEST_STEP_S:g} s may lie between"
        )
        raise EntryError(f"{file.name} row {row}, time_s is {time:g}: {why}. {_NOTHING}", field="time_s", value=time)
    return time


def _refuse_size(name: str, n: int) -> None:
    if not n or n > MOST_SAMPLES:
        raise EntryError(
            f"{name} has {n} samples: a trace has at least one and at most {MOST_SAMPLES:,}. {_NOTHING}",
            field="--trace",
            value=n,
        )
