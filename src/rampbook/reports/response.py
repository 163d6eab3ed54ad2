"""Gathers what the picture of a response shows: two sheets from the store, and a measured run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from rampbook.charts.response_drawing import Overlay, ResponseDrawing, Side
from rampbook.domain.cautions import RAISED, cautions
from rampbook.domain.kinematics import RunMeasure, Trace, measure_gate, measure_trace, with_speed
from rampbook.domain.response import MOTIONS, Response, at_dial, response_of
from rampbook.domain.throw import THROW_DEFINITIONS, USUAL, ThrowDefinition
from rampbook.errors import EntryError
from rampbook.store import Store
from rampbook.store.runs import runs_of, trace_of_run

# What a picture of a response depends on; the rest of the sheet is left alone.
SHOWN = ("throw_", "deadband", *(stem for stems in MOTIONS.values() for stem in stems))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet to draw: its word and its telling, its values, and the day it stood."""

    word: str
    told: str
    on: date
    values: Mapping[str, float]


def drawing_of(
    store: Store,
    sheets: tuple[Sheet, ...],
    *,
    athlete: str,
    profile: int,
    chair: str | None,
    dial_percent: float,
    dial_told: str,
    meaning: ThrowDefinition | None = None,
    run: str | None = None,
) -> ResponseDrawing:
    """Return what is to be drawn of one or two sheets.

    Parameters
    ----------
    store : Store
        The club's record.
    sheets : tuple of Sheet
        One, or two: before and after.
    athlete, profile, chair
        Whose chair it is.
    dial_percent : float
        Position of the speed dial, for both sheets.
    dial_told : str
        Where that comes from.
    meaning : ThrowDefinition, optional
        What the throw numbers mean, when it is not to be read from the chair's record.
    run : str, optional
        Id of the run to lay over; else the latest with a trace up to the last sheet's day, else the latest.

    Raises
    ------
    EntryError
        When nothing of the sheets can be drawn, or there is no such run.
    """
    stored = stored_meaning(store, chair)
    definition = meaning or stored or USUAL
    sides = tuple(
        Side(
            word=sheet.word, told=sheet.told,
            response=response_of(sheet.values, dial_percent=dial_percent, definition=definition),
        )
        for sheet in sheets
    )  # fmt: skip
    _refuse_nothing(athlete, profile, sides)
    changed = _changed(sheets)
    return ResponseDrawing(
        title=f"{athlete}, profile {profile}" + (f", chair {chair}" if chair else "") + ": what the joystick commands",
        sides=sides, dial_told=dial_told, definition=definition,
        definition_told=_meaning_told(meaning, stored), changed=changed, cautions=_cautions(changed, sides),
        overlay=_overlay(store, athlete, profile, chair, run, sheets[-1].on),
    )  # fmt: skip


def stored_meaning(store: Store, chair: str | None) -> ThrowDefinition | None:
    """Return what the chair's record says a throw number means; None when it says nothing."""
    rows = store.rows("throw_definition", chair) if chair else []
    said = next((row["throw_definition"] for row in rows if row["throw_definition"]), None)
    return THROW_DEFINITIONS[said] if said else None


def _meaning_told(asked: ThrowDefinition | None, stored: ThrowDefinition | None) -> str:
    if asked is None:
        return "as the chair's record says" if stored else "the usual meaning; the chair's record does not say"
    if stored in (asked, None):
        return "as asked"
    return f"as asked, although the chair's record says {stored.id if stored else ''}"


def _refuse_nothing(athlete: str, profile: int, sides: tuple[Side, ...]) -> None:
    if any(side.response.curves or side.response.ramps for side in sides):
        return
    raise EntryError(
        f"Nothing can be drawn for {athlete}, profile {profile}: a curve needs the deadband and a throw, a motion "
        "needs a speed, an acceleration and a deceleration. "
        f"Log what you can read: rampbook sheet {athlete} --profile {profile} deadband=VALUE throw_forward=VALUE ...",
        field="profile",
        value=profile,
    )


def _changed(sheets: tuple[Sheet, ...]) -> dict[str, tuple[float | None, float | None]]:
    """Return the settings shown that differ between two sheets."""
    if len(sheets) < 2:
        return {}
    old, new = (sheet.values for sheet in sheets)
    return {
        name: (old.get(name), new.get(name))
        for name in sorted({*old, *new})
        if name.startswith(SHOWN) and old.get(name) != new.get(name)
    }


def _cautions(changed: Mapping[str, tuple[float | None, float | None]], sides: tuple[Side, ...]) -> tuple[str, ...]:
    """Return the lines for showing a sheet, for what differs, and for a joystick that answers more strongly."""
    lines = cautions()
    for setting, (old, new) in changed.items():
        lines += cautions(setting, old=old, new=new)
    if len(sides) == 2 and _answers_more(*(side.response for side in sides)):
        lines.append(RAISED)
    return tuple(dict.fromkeys(lines))


def _answers_more(old: Response, new: Response) -> bool:
    """Whether any direction commands more for the same movement than before."""
    shared = [(old.curves[way], new.curves[way]) for way in old.curves if way in new.curves]
    return any(after.gain > before.gain * (1 + 1e-9) for before, after in shared)


def _overlay(
    store: Store, athlete: str, profile: int, chair: str | None, run: str | None, until: date
) -> Overlay | None:
    """Return the run to lay over, with what one unit of the chair's own scale came to in it."""
    runs = runs_of(store, athlete, profile, chair)
    row = _chosen(runs, run, until, athlete, profile)
    if row is None:
        return None
    measured, trace = _measured(store, row)
    scale = _scale(store, row, athlete, profile, chair, measured)
    how = f"{row['method']}, " if row["method"] else ""
    told = f"Run {row['run']}, {row['direction']}, {row['on']}, {how}{_dial_of(row)[1]}"
    return Overlay(
        direction=row["direction"], told=told, measured=measured, trace=trace, dial_percent=_dial_of(row)[0], **scale
    )  # fmt: skip


def _chosen(
    runs: list[dict[str, Any]], run: str | None, until: date, athlete: str, profile: int
) -> dict[str, Any] | None:
    if run is not None:
        found = next((row for row in runs if row["run"] == run), None)
        if found is None:
            known = ", ".join(row["run"] for row in runs) or "none"
            raise EntryError(
                f'There is no run "{run}" of {athlete}, profile {profile}. Known: {known}. Log one with: rampbook run',
                field="--run",
                value=run,
            )
        return found
    before = [row for row in runs if row["on"] <= until]
    with_trace = [row for row in before if row["n_samples"]]
    candidates = with_trace or before
    return candidates[-1] if candidates else None


def _measured(store: Store, row: dict[str, Any]) -> tuple[RunMeasure, Trace | None]:
    trace = trace_of_run(store, row["run"])
    if trace is None:
        return measure_gate(row["distance_m"], row["seconds"], start=row["start"]), None
    return measure_trace(trace), with_speed(trace)


def _dial_of(row: dict[str, Any]) -> tuple[float, str]:
    if row["dial_percent"] is None:
        return 100.0, "dial not noted and taken to be at its top"
    return row["dial_percent"], f"dial at {row['dial_percent']:g}%"


def _scale(
    store: Store, row: dict[str, Any], athlete: str, profile: int, chair: str | None, measured: RunMeasure
) -> dict[str, float | None]:
    """Return metres for one unit of speed, acceleration and deceleration, by the sheet of the day of the run."""
    dial, _ = _dial_of(row)
    sheet = sheet_values(store, athlete, row["on"], profile=profile, chair=row["chair"] or chair)
    figures = (measured.top_speed_m_s, measured.acceleration_m_s2, measured.deceleration_m_s2)
    if not measured.is_steady:
        return {}
    found = {}
    for name, stem, figure in zip(("speed", "rise", "fall"), MOTIONS[row["direction"]], figures, strict=True):
        unit = at_dial(sheet, stem, dial)
        found[name] = figure / unit if figure and unit else None
    return found


def sheet_values(store: Store, athlete: str, on: date, *, profile: int, chair: str | None) -> dict[str, float]:
    """Return the values of one sheet as they stood at the end of a day."""
    rows = store.rows("setting_sheet", athlete, on, profile)
    return {row["setting"]: row["value"] for row in rows if chair is None or row["chair"] == chair}
