"""``rampbook run``: log a measured run, and say what it shows."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.inputs import day, future_warning, maybe_number, number, whole
from rampbook.cli.output import figure, print_json, print_lines, print_notes, saved_lines, section
from rampbook.cli.sheets import only_chair, refuse_unknown_athlete, sheet_rows
from rampbook.domain.cautions import cautions
from rampbook.domain.kinematics import RunMeasure, Trace, measure_gate, measure_trace
from rampbook.domain.run_words import measure_lines
from rampbook.domain.runs import RUN_DIRECTIONS, RUN_STARTS
from rampbook.domain.words import one_of
from rampbook.errors import EntryError
from rampbook.store import Store, open_store
from rampbook.store.runs import read_trace, record_run


def run(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    profile: Annotated[str, typer.Option(help="Number of the drive profile in use.")],
    trace: Annotated[
        Path | None, typer.Option(help="CSV with time_s and speed_m_s or distance_m: from rest, full, to rest.")
    ] = None,
    distance: Annotated[str | None, typer.Option(help="Distance between the marks, metres.")] = None,
    seconds: Annotated[str | None, typer.Option(help="Time for that distance, seconds.")] = None,
    start: Annotated[
        str | None, typer.Option(help="standing or flying: how the distance began; a trace begins standing.")
    ] = None,
    direction: Annotated[str, typer.Option(help="forward or reverse.")] = "forward",
    chair: Annotated[str | None, typer.Option(help="Code of the chair; the one chair when left out.")] = None,
    on: Annotated[str | None, typer.Option(help="Day, YYYY-MM-DD; today when left out.")] = None,
    dial: Annotated[str | None, typer.Option(help="Position of the speed dial, percent.")] = None,
    surface: Annotated[str | None, typer.Option(help="Floor that was driven on.")] = None,
    battery: Annotated[str | None, typer.Option(help="Charge of the battery, percent.")] = None,
    method: Annotated[str | None, typer.Option(help="What measured it: stopwatch, gates, logger.")] = None,
    name: Annotated[str | None, typer.Option("--id", help="Id of the run; made when left out.")] = None,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Log a measured run of the chair in a straight line, and say what it shows.

    Give a speed trace, or a distance and a time. The setting sheet of that day is what was driven. Measure in clear
    space, with a spotter and an agreed stop.
    """
    driven_on, driven = day(on), whole(profile, field="--profile")
    measured, samples, row = _read(trace, distance, seconds, start)
    row |= {
        "run": name, "athlete": athlete, "profile": driven, "on": driven_on,
        "direction": one_of(direction, RUN_DIRECTIONS, field="--direction"), "surface": surface, "method": method,
        "dial_percent": maybe_number(dial, field="--dial"),
        "battery_percent": maybe_number(battery, field="--battery"),
    }  # fmt: skip
    with open_store(store, create=False) as opened, opened.transaction():
        refuse_unknown_athlete(opened, athlete)
        row["chair"] = chair or only_chair(opened, athlete)
        notes = _notes(opened, row)
        saved = record_run(opened, row, samples)
    print_notes(future_warning(driven_on))
    if json:
        print_json(saved.to_dict() | {"measured": asdict(measured), "notes": notes, "cautions": cautions()})
        return
    what = f"run {saved.ids['runs'][0]} of {athlete}, profile {driven}, {direction}, {driven_on}"
    lines = [*saved_lines(saved, what), "", *measure_lines(measured)]
    lines += section("Mind:", notes)
    lines += ["", f"Lay it over the picture with: rampbook response {athlete} --profile {driven}"]
    print_lines([*lines, *section("Whenever a chair is measured:", cautions())])


def _read(
    path: Path | None, distance: str | None, seconds: str | None, start: str | None
) -> tuple[RunMeasure, Trace | None, dict[str, Any]]:
    """Return what was measured, the trace when there is one, and the columns that say so."""
    if (path is None) == (distance is None and seconds is None):
        raise EntryError("Give --trace FILE, or --distance and --seconds: one of the two. Nothing was saved.")
    if path is not None:
        return _read_trace(path, start)
    if distance is None or seconds is None or start is None:
        raise EntryError(
            "A distance and a time need --distance, --seconds and --start (standing or flying). Nothing was saved."
        )
    began = one_of(start, RUN_STARTS, field="--start")
    covered, took = number(distance, field="--distance"), number(seconds, field="--seconds")
    row = {"distance_m": covered, "seconds": took, "start": began}
    return measure_gate(covered, took, start=began), None, row


def _read_trace(path: Path, start: str | None) -> tuple[RunMeasure, Trace, dict[str, Any]]:
    if start == "flying":
        raise EntryError("A trace begins at rest: leave out --start. Nothing was saved.", field="--start", value=start)
    trace = read_trace(path)
    try:
        measured = measure_trace(trace)
    except EntryError as error:
        raise EntryError(f"{path.name}: {error} Nothing was saved.", field=error.field, value=error.value) from error
    return measured, trace, {
        "distance_m": measured.covered_m, "seconds": trace.time_s[-1] - trace.time_s[0], "start": "standing",
    }  # fmt: skip


def _notes(store: Store, row: dict[str, Any]) -> list[str]:
    """Return what keeps the run from being compared with the settings."""
    on: date = row["on"]
    notes = []
    if not sheet_rows(store, row["athlete"], on, profile=row["profile"], chair=row["chair"]):
        notes.append(f"no sheet of profile {figure(row['profile'])} is known for {on}: log it with rampbook sheet")
    if row["dial_percent"] is None:
        notes.append("the speed dial's position was not noted; the picture takes it to be at its top")
    return notes


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="run")(run)
