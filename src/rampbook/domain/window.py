"""Which practices belong to a change: from the change of something else before it to the one after it.

Changes back and forth between the same two values form one run, so a return to the old value adds its practices
to the comparison instead of ending it. A change of chair always bounds it: a new chair starts a new baseline.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from rampbook.domain.chairs import ALWAYS, Stretch
from rampbook.errors import EntryError


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """One change of the run: when, and whether it leads to the new value (1) or back to the old one (0)."""

    change: str
    on: date
    at: time | None
    to_phase: int
    old_value: float
    new_value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The run of a change and the days it may use: from ``start`` on (None: from the first), before ``end``.

    ``simultaneous`` names the other settings that were changed on a day of the run. ``stretch`` is that of the chair,
    within which the window lies.
    """

    setting: str
    old_value: float
    new_value: float
    crossings: tuple[Crossing, ...]
    simultaneous: tuple[str, ...]
    start: date | None
    end: date | None
    stretch: Stretch = ALWAYS

    def holds(self, on: date) -> bool:
        """Whether a practice of this day may be used."""
        return (self.start is None or on >= self.start) and (self.end is None or on < self.end)

    def phase(self, on: date, at: time | None) -> int:
        """Give the phase of a practice; on the day of a change it is after, unless both times of day say otherwise."""
        phase = 1 - self.crossings[0].to_phase
        for crossing in self.crossings:
            if is_after(on, at, crossing.on, crossing.at):
                phase = crossing.to_phase
        return phase


def is_after(on: date, at: time | None, changed_on: date, changed_at: time | None) -> bool:
    """Whether a practice counts as after a change: on its day it does, unless both times of day say otherwise."""
    return on > changed_on or (on == changed_on and not (at and changed_at and at < changed_at))


def window_of(changes: Sequence[dict[str, Any]], change: str, stretch: Stretch = ALWAYS) -> Window:
    """Give the window of one change.

    Parameters
    ----------
    changes : sequence of dict
        All changes of the same chair and profile in order of time: change, setting, old_value, new_value, on, time.
    change : str
        The one asked about.
    stretch : Stretch
        The days on which its chair is driven around it.

    Raises
    ------
    EntryError
        When it is not among them.
    """
    target = next((row for row in changes if row["change"] == change), None)
    if target is None:
        raise EntryError(f'There is no change "{change}" among those of this profile.', field="change", value=change)
    run = _of_chair(_run(changes, target), target, stretch)
    days = {row["on"] for row in run}
    others = [row for row in changes if row not in run]
    before = [row["on"] for row in others if row["on"] < run[0]["on"]]
    after = [row["on"] for row in others if row["on"] > run[0]["on"] and row["on"] not in days]
    start = max((on for on in (*before, stretch.start) if on is not None), default=None)
    end = min((on for on in (*after, stretch.end) if on is not None), default=None)
    kept = [row for row in run if row is target or end is None or row["on"] < end]
    kept_days = {row["on"] for row in kept}
    return Window(
        setting=target["setting"], old_value=target["old_value"], new_value=target["new_value"],
        crossings=tuple(_crossing(row, target) for row in kept),
        simultaneous=tuple(dict.fromkeys(row["setting"] for row in others if row["on"] in kept_days)),
        start=start, end=end,
        stretch=stretch,
    )


def _of_chair(run: list[dict[str, Any]], target: dict[str, Any], stretch: Stretch) -> list[dict[str, Any]]:
    """Keep the changes of the run in the chair's days, and the target; one before its chair is driven is before all."""
    return [row for row in run if row is target or stretch.holds(row["on"])]


def _run(changes: Sequence[dict[str, Any]], target: dict[str, Any]) -> list[dict[str, Any]]:
    """Gather the changes between the same two values around the target, with nothing else on days between."""
    place = next(i for i, row in enumerate(changes) if row is target)
    earlier = _stretch(list(reversed(changes[:place])), target)
    return [*reversed(earlier), target, *_stretch(list(changes[place + 1 :]), target)]


def _stretch(rows: list[dict[str, Any]], target: dict[str, Any]) -> list[dict[str, Any]]:
    days = {target["on"]} | {row["on"] for row in rows if _same_pair(row, target)}
    out: list[dict[str, Any]] = []
    for row in rows:
        if _same_pair(row, target):
            out.append(row)
        elif row["setting"] == target["setting"] or row["on"] not in days:
            break
    return out


def _same_pair(row: dict[str, Any], target: dict[str, Any]) -> bool:
    pair = {target["old_value"], target["new_value"]}
    return row["setting"] == target["setting"] and {row["old_value"], row["new_value"]} == pair


def _crossing(row: dict[str, Any], target: dict[str, Any]) -> Crossing:
    return Crossing(
        change=row["change"], on=row["on"], at=row.get("time"), to_phase=int(row["new_value"] == target["new_value"]),
        old_value=row["old_value"], new_value=row["new_value"],
    )
