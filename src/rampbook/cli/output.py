"""Printing answers: one JSON document for programs, aligned lines for people."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, time
from pathlib import Path
from typing import Any

import typer

from rampbook.errors import ReportError
from rampbook.store.saved import Saved


def print_json(document: dict[str, Any]) -> None:
    """Print one JSON document to standard output, numbers unrounded."""
    typer.echo(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False, default=_plain))


def print_lines(lines: Iterable[str]) -> None:
    """Print lines to standard output."""
    for line in lines:
        typer.echo(line)


def print_notes(lines: Iterable[str]) -> None:
    """Print lines to standard error, where they do not disturb what a program reads."""
    for line in lines:
        typer.echo(line, err=True)


def table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Return aligned lines, the headings first; the last column is not padded."""
    widths = [max(len(row[i]) for row in [headings, *rows]) for i in range(len(headings))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in [headings, *rows]
    ]


def section(heading: str, lines: Iterable[str]) -> list[str]:
    """Return a heading and its lines as points, after an empty line; nothing when there are none."""
    points = [f"  - {line}" for line in lines]
    return ["", heading, *points] if points else []


def saved_lines(saved: Saved, what: str) -> list[str]:
    """Return what was saved, or that it was there already."""
    if not saved.n_added:
        return [f"Nothing was added: {what} is in the store already."]
    parts = [f"{n} in {table}" for table, n in saved.added.items() if n]
    there = sum(saved.already_there.values())
    return [f"Logged {what} ({', '.join(parts)})." + (f" {there} more stood there already." if there else "")]


@contextmanager
def writing(path: Path, *, option: str) -> Iterator[None]:
    """Say in plain words when the system does not let a file be written.

    Raises
    ------
    ReportError
        When what is done inside fails for want of rights or room, or for a folder in the file's place.
    """
    try:
        yield
    except OSError as error:
        why = (error.strerror or "the system refused").lower()
        raise ReportError(
            f"{path} could not be written ({why}). Name a place that you may write to with {option}."
        ) from error


def figure(value: float | None) -> str:
    """Return a number as a person writes it; "?" when it is not known."""
    return "?" if value is None else f"{value:.12g}"


def _plain(value: Any) -> str:
    if isinstance(value, (date, time)):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no place in the JSON answer")
