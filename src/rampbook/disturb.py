"""What else moved around a change, in words: events, timer, floor, layout, chair, and a dial that undoes the change."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from statistics import median
from typing import Any

from rampbook.domain.effective import SAME_SHARE
from rampbook.domain.events import EVENTS
from rampbook.domain.rules import effective_value
from rampbook.domain.window import Window
from rampbook.evidence.finding import EventMark
from rampbook.series.practices import PracticeSeries
from rampbook.store import Store


def disturbances(
    events: Sequence[dict[str, Any]],
    entries: Sequence[dict[str, Any]],
    practices: Sequence[dict[str, Any]],
    window: Window,
) -> tuple[str, ...]:
    """List what weakens the comparison, one line a kind; ``other`` events are drawn but do not count."""
    out = {
        event["event"]: f"{_words(event)} on {event['on'].isoformat()}" for event in events if event["event"] != "other"
    }
    if _swapped(entries, "timer", window) and entries[0]["kind"] == "time":
        out.setdefault("timer", "the timer was another one after the change")
    if entries and entries[0]["kind"] == "rating" and _swapped(entries, "timer", window):
        out.setdefault("rater", "the rating was given in another way after the change")
    if _swapped(practices, "surface", window):
        out.setdefault("surface", "the floor was another one after the change")
    if _swapped(entries, "layout", window):
        out.setdefault("layout", "the layout of the drill was another one after the change")
    return tuple(out.values())


def _words(event: dict[str, Any]) -> str:
    return "the drill got a new layout" if event["event"] == "layout" else EVENTS.get(event["event"], event["event"])


def _swapped(rows: Sequence[dict[str, Any]], column: str, window: Window) -> bool:
    """Whether what is named in a column shares nothing between old and new setting."""
    sides: tuple[set[Any], set[Any]] = (set(), set())
    for row in rows:
        if row[column] is not None:
            sides[window.phase(row["on"], row["time"])].add(row[column])
    return bool(sides[0]) and bool(sides[1]) and not sides[0] & sides[1]


def event_marks(events: Sequence[dict[str, Any]], series: PracticeSeries) -> tuple[EventMark, ...]:
    """Give each event its place among the practices."""
    return tuple(
        EventMark(position=_place(event["on"], series), on=event["on"], text=_words(event)) for event in events
    )


def _place(on: date, series: PracticeSeries) -> float:
    days = [day for day in series.dates if day is not None]
    earlier = sum(day < on for day in days)
    return float(earlier) if on in days else earlier - 0.5


def new_baselines(window: Window, practices: Sequence[date]) -> tuple[str, ...]:
    """Say where a change of chair bounds the window, and practices beyond it are left out."""
    return tuple(
        f"A new baseline starts on {line.on.isoformat()}: {line.why}. Practices on the other side of that day were "
        "driven on another chair and are left out."
        for line in window.stretch.baselines
        if (line.on == window.start and any(day < line.on for day in practices))
        or (line.on == window.end and any(day >= line.on for day in practices))
    )


def two_chairs(window: Window) -> str | None:
    """Say that practices do not tell which chair was driven, or None where only one was in use."""
    if not window.stretch.also:
        return None
    others = ", ".join(f"chair {name}" for name in window.stretch.also)
    return f"{others} was in use as well, and the practices do not say which chair was driven"


def nothing_changed(
    store: Store, row: dict[str, Any], window: Window, practices: Sequence[dict[str, Any]]
) -> str | None:
    """Say why the chair's effective response did not change, or None where it did or the dial is not known.

    A maximum and a minimum are two ends of one range: at the dial position practised at, what counts is the value
    between them.
    """
    setting = row["setting"]
    stem, _, end = setting.rpartition("_")
    dials: tuple[list[float], list[float]] = ([], [])
    for held in practices:
        if held["dial_percent"] is not None:
            dials[window.phase(held["on"], held["time"])].append(held["dial_percent"])
    if end not in ("min", "max") or not all(dials):
        return None
    other = f"{stem}_{'min' if end == 'max' else 'max'}"
    sheet = store.rows("setting_sheet", row["athlete"], row["on"], row["profile"])
    partner = next((line["value"] for line in sheet if line["setting"] == other), None)
    if partner is None:
        return None
    old, new = (
        _effective(end, value, partner, median(dial))
        for value, dial in ((window.old_value, dials[0]), (window.new_value, dials[1]))
    )
    if abs(new - old) > SAME_SHARE * abs(window.new_value - window.old_value):
        return None
    return f"at the dial practised at, {stem.replace('_', ' ')} was {old:g} before and {new:g} after"


def _effective(end: str, value: float, partner: float, dial: float) -> float:
    low, high = (partner, value) if end == "max" else (value, partner)
    return effective_value(low, high, dial)
