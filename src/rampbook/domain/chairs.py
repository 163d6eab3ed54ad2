"""Which chair is driven from when on, as far as the record tells: practices on two chairs are never one series.

A new controller counts as a new chair and gets a code of its own: its numbers are on another scale.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Baseline:
    """A day on which a new baseline starts, and why; what was measured before it belongs to another chair."""

    on: date
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Days on which the same chairs are in use: from ``start`` on (None: from the first), before ``end``.

    ``baselines`` are the changes of chair that bound it; ``also`` names other chairs in use in it.
    """

    start: date | None = None
    end: date | None = None
    baselines: tuple[Baseline, ...] = ()
    also: tuple[str, ...] = ()

    def holds(self, on: date) -> bool:
        """Whether a day lies in it."""
        return (self.start is None or on >= self.start) and (self.end is None or on < self.end)


ALWAYS = Stretch()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chair:
    """One chair of an athlete: what is stated of it, and the first sign of it on a sheet or in a change.

    ``chair`` is None for the chair that no row names.
    """

    chair: str | None
    entry: str | None
    scale: str | None
    scale_definition: str | None
    since: date | None
    until: date | None
    goals: str | None
    read_on: date | None
    changed_on: date | None

    @property
    def starts(self) -> date | None:
        """The first day as stated, else the first day on a sheet or in a change."""
        known = [day for day in (self.read_on, self.changed_on) if day is not None]
        return self.since or min(known, default=None)

    @property
    def name(self) -> str:
        """The code, or that there is none."""
        return self.chair or "without a code"


def chairs_from(rows: Sequence[Mapping[str, Any]]) -> list[Chair]:
    """Return the chairs of the rows of the query ``chairs_of_athlete``, the earliest first."""
    return [Chair(**{name: row[name] for name in Chair.__slots__}) for row in rows]


def baselines(chairs: Sequence[Chair]) -> list[Baseline]:
    """Return the days on which another chair comes into use, in order of time.

    A stated day always counts. Without one, the first sheet of a chair counts when another chair was known before;
    so does a first change where no sheet was read, unless the earlier chair has no code and may be the same one.
    """
    found = [
        Baseline(on=chair.since, why=f"chair {chair.name} is driven from then on")
        for chair in chairs
        if chair.since is not None
    ]
    found += [
        Baseline(on=chair.until + timedelta(days=1), why=f"chair {chair.name} was last driven on {chair.until}")
        for chair in chairs
        if chair.until is not None
    ]
    found += [
        Baseline(on=chair.starts, why=f"the first sheet or change of chair {chair.name} is of that day")
        for chair in chairs
        if chair.starts is not None and _is_new_by_its_sheet(chair, chairs)
    ]
    days: dict[date, list[str]] = {}
    for line in sorted(found, key=lambda baseline: baseline.on):
        days.setdefault(line.on, []).append(line.why)
    return [Baseline(on=on, why=" and ".join(why)) for on, why in days.items()]


def chair_on(chairs: Sequence[Chair], on: date) -> Chair | None:
    """Return the chair driven on a day; the one that came last where several could be, None where none is known."""
    driven = [chair for chair in chairs if is_driven(chairs, chair, on)]
    return max(driven, key=lambda chair: (chair.starts or date.min, chair.chair or ""), default=None)


def is_driven(chairs: Sequence[Chair], chair: Chair, on: date) -> bool:
    """Whether a chair is in use on a day: it has come, and its last day, or the next chair's first, has not."""
    if chair.starts is None or chair.starts > on:
        return False
    if chair.until is not None:
        return on <= chair.until
    return not any(_replaces(other, chair, chairs, on) for other in chairs)


def stretch_of(chairs: Sequence[Chair], chair: str | None, on: date) -> Stretch:
    """Return the days around one on which the same chairs are in use, for a change of that day on one of them.

    A change made before its chair is driven belongs to the days from then on; one made on a chair that is not driven
    any more has no days at all.
    """
    mine = next((known for known in chairs if known.chair == chair), None)
    anchor = max(on, mine.since or on) if mine is not None else on
    if mine is not None and not is_driven(chairs, mine, anchor):
        return Stretch(start=anchor, end=anchor)
    lines = baselines(chairs)
    came = next((line for line in reversed(lines) if line.on <= anchor), None)
    left = next((line for line in lines if line.on > anchor), None)
    return Stretch(
        start=came.on if came else None, end=left.on if left else None,
        baselines=tuple(line for line in (came, left) if line is not None),
        also=tuple(
            other.name
            for other in chairs
            if other.chair not in (chair, None) and is_driven(chairs, other, anchor)
        ),
    )  # fmt: skip


def _is_line(chair: Chair, chairs: Sequence[Chair]) -> bool:
    return chair.since is not None or _is_new_by_its_sheet(chair, chairs)


def _is_new_by_its_sheet(chair: Chair, chairs: Sequence[Chair]) -> bool:
    if chair.since is not None or chair.chair is None or chair.starts is None:
        return False
    earlier = [other for other in chairs if other.starts is not None and other.starts < chair.starts]
    named = any(other.chair is not None for other in earlier)
    return named or (bool(earlier) and chair.starts == chair.read_on)


def _replaces(other: Chair, chair: Chair, chairs: Sequence[Chair], on: date) -> bool:
    """Whether another chair came later than this one, by that day, and has not gone again."""
    if other is chair or other.starts is None or chair.starts is None or not _is_line(other, chairs):
        return False
    return chair.starts < other.starts <= on and (other.until is None or on <= other.until)
