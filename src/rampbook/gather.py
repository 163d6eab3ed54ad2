"""From the store to one series: the practices around a change, its comparison, and the facts of its design."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from rampbook.disturb import disturbances, event_marks, new_baselines, nothing_changed, two_chairs
from rampbook.domain.chairs import chairs_from, stretch_of
from rampbook.domain.outcomes import LOWER_RATINGS, drill_of
from rampbook.domain.window import Window, window_of
from rampbook.errors import EntryError
from rampbook.evidence.facts import Facts, Labels
from rampbook.evidence.finding import ChangeMark
from rampbook.series.practices import PracticeSeries
from rampbook.series.read import read_series
from rampbook.store import Store
from rampbook.touches import touches_ratio


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """One series with its facts and words; ``better`` is None where the kind's own direction holds."""

    series: PracticeSeries
    facts: Facts
    labels: Labels
    outcome: str
    better: str | None


def change_row(store: Store, change: str) -> dict[str, Any]:
    """Give the change that goes by this id now; for the id of a bundle, its first change.

    Raises
    ------
    EntryError
        When there is none.
    """
    rows = store.rows("change", change) or store.rows("bundle", change)
    if not rows:
        raise EntryError(
            f'There is no change "{change}" in this store. `rampbook settings ATHLETE --history` shows the ids.',
            field="change",
            value=change,
        )
    return rows[0]


def outcomes_in_window(store: Store, change: str) -> tuple[Window, list[str]]:
    """Give the window of a change and the outcomes measured on its profile in it, the most practices first."""
    row = change_row(store, change)
    window = _window(store, row)
    sizes: dict[str, int] = {}
    for measured in store.rows("outcomes_of_athlete", row["athlete"]):
        if measured["profile"] in (None, row["profile"]):
            held = sum(window.holds(day) for day in measured["days"])
            sizes[measured["outcome"]] = sizes.get(measured["outcome"], 0) + held
    # A stable sort keeps drills before other outcomes where both have as many practices.
    return window, sorted((name for name in sizes if sizes[name]), key=lambda name: -sizes[name])


def _window(store: Store, row: dict[str, Any]) -> Window:
    """Give the window of a change, which a change of chair bounds."""
    chairs = chairs_from(store.rows("chairs_of_athlete", row["athlete"]))
    stretch = stretch_of(chairs, row["chair"], row["on"])
    return window_of(store.rows("changes_of_profile", row["change"]), row["change"], stretch)


def gather(store: Store, change: str, outcome: str | None, *, unaffected: str | None = None) -> Gathered:
    """Give the series of a change, with what the record shows around it.

    Parameters
    ----------
    store : Store
    change : str
    outcome : str or None
        None takes the one measured in most practices.
    unaffected : str, optional
        An outcome that the change cannot affect, to look beside.

    Raises
    ------
    EntryError
        When the change is not known, or an outcome was not measured around it.
    """
    row = change_row(store, change)
    window, names = outcomes_in_window(store, change)
    name = _chosen(outcome, names, change)
    entries = [entry for entry in store.rows("outcome_entries", row["athlete"], name) if window.holds(entry["on"])]
    own = [entry for entry in entries if entry["profile"] in (None, row["profile"])]
    every_practice = store.rows("practices_of_athlete", row["athlete"])
    practices = [held for held in every_practice if window.holds(held["on"])]
    other = _untouched(store, row, window, entries)
    series = _series(
        own, practices, window, [entry for entry in entries if other is not None and entry["profile"] == other]
    )
    if unaffected is not None:
        beside = _beside(store, row, window, practices, _unaffected(unaffected, name, names, change))
        series = replace(series, unaffected=beside)
    days = [day for day in series.dates if day is not None]
    events = [event for event in store.rows("events_of_athlete", row["athlete"]) if _concerns(event, name, days)]
    facts = Facts(
        simultaneous=tuple(setting.replace("_", " ") for setting in window.simultaneous),
        bundle=row["bundle"] if window.simultaneous else None,
        disturbances=disturbances(events, own, practices, window),
        reacting=None if row["planned"] is None else row["planned"] == 0,
        # Of several settings changed at once, one that changes nothing by itself says nothing about the others.
        nothing_changed=None if window.simultaneous else nothing_changed(store, row, window, practices),
        touches=touches_ratio(own, window),
        outcomes_measured=len(names),
        new_baselines=new_baselines(window, [held["on"] for held in every_practice]),
        two_chairs=two_chairs(window),
    )
    return Gathered(
        series=series,
        facts=facts,
        labels=replace(_labels(row, window, name, series, events, other), unaffected=unaffected or "unaffected"),
        outcome=name,
        better="lower" if name in LOWER_RATINGS and series.kind.name == "rating" else None,
    )


def _chosen(outcome: str | None, names: Sequence[str], change: str, *, field: str = "outcome") -> str:
    if not names:
        raise EntryError(
            f'Nothing was measured on this profile around change "{change}". Log practices with '
            "`rampbook practice`, or load them.",
            field="change",
            value=change,
        )
    if outcome is None:
        return names[0]
    if outcome in names:
        return outcome
    raise EntryError(
        f'"{outcome}" was not measured around change "{change}"; measured were {", ".join(names)}.',
        field=field,
        value=outcome,
    )


def _unaffected(unaffected: str, outcome: str, names: Sequence[str], change: str) -> str:
    if unaffected == outcome:
        raise EntryError(
            f'"{unaffected}" is the outcome asked about. Name another one that the change cannot affect, such as one '
            "that does not depend on driving.",
            field="unaffected",
            value=unaffected,
        )
    return _chosen(unaffected, names, change, field="unaffected")


def _beside(
    store: Store, row: dict[str, Any], window: Window, practices: Sequence[dict[str, Any]], name: str
) -> PracticeSeries:
    """Give the series of a second outcome in the same window."""
    entries = [
        entry
        for entry in store.rows("outcome_entries", row["athlete"], name)
        if window.holds(entry["on"]) and entry["profile"] in (None, row["profile"])
    ]
    return _series(entries, practices, window, [])


def _concerns(event: dict[str, Any], outcome: str, days: Sequence[date]) -> bool:
    """Whether an event lies within the practices of the series, and a new layout is of its drill."""
    if event["drill"] is not None and event["drill"] != drill_of(outcome):
        return False
    return bool(days) and days[0] < event["on"] <= days[-1]


def _untouched(store: Store, row: dict[str, Any], window: Window, entries: Sequence[dict[str, Any]]) -> int | None:
    """Another profile on which the same outcome was measured and nothing was changed in the window; the fullest one."""
    touched = {
        change["profile"]
        for change in store.rows("changes_in_season", row["athlete"], None, None)
        if window.holds(change["on"]) and change["on"] > min((e["on"] for e in entries), default=change["on"])
    }
    days: dict[int, set[date]] = {}
    for entry in entries:
        if entry["profile"] not in (None, row["profile"]) and entry["profile"] not in touched:
            days.setdefault(entry["profile"], set()).add(entry["on"])
    return max(days, key=lambda profile: (len(days[profile]), -profile), default=None)


def _series(
    own: Sequence[dict[str, Any]],
    practices: Sequence[dict[str, Any]],
    window: Window,
    untouched: Sequence[dict[str, Any]],
) -> PracticeSeries:
    import polars as pl

    rows = [_row(entry, window) for entry in own] + [_control_row(entry, window) for entry in untouched]
    measured = {entry["on"] for entry in own}
    rows += [
        {"practice": held["on"], "phase": window.phase(held["on"], held["time"]), "value": None}
        for held in practices
        if held["on"] not in measured
    ]
    frame = pl.DataFrame(rows, infer_schema_length=None)
    return read_series(frame, kind=own[0]["kind"])


def _row(entry: dict[str, Any], window: Window) -> dict[str, Any]:
    kind = entry["kind"]
    row = {
        "practice": entry["on"],
        "phase": window.phase(entry["on"], entry["time"]),
        "value": entry["value"],
        "finished": entry["finished"],
    }
    if kind == "count":
        row["exposure"] = entry["size"]
    if kind == "success":
        row["tries"] = entry["size"]
    return row


def _control_row(entry: dict[str, Any], window: Window) -> dict[str, Any]:
    row = _row(entry, window)
    moved = {"value": "control", "exposure": "control_exposure", "tries": "control_tries"}
    return {"finished": 1} | {moved.get(name, name): value for name, value in row.items() if name != "finished"}


def _labels(
    row: dict[str, Any],
    window: Window,
    name: str,
    series: PracticeSeries,
    events: Sequence[dict[str, Any]],
    other: int | None,
) -> Labels:
    kind = series.kind.name
    drill = drill_of(name)
    axis = {
        "time": f"seconds to finish the {drill}",
        "count": f"{name} per hour",
        "rating": f"{name}, 0 to 10",
        "success": f"{name}: share of tries",
    }[kind]
    words, together = row["setting"].replace("_", " "), _together(row, window)
    title = f"{(drill or name).capitalize()}, profile {row['profile']}, athlete {row['athlete']}"
    return Labels(
        title=title + _bundle(row, window),
        outcome=drill or name,
        axis=axis,
        old=f"{words} {window.old_value:g}{together}",
        new=f"{words} {window.new_value:g}{together}",
        control=f"profile {other}, untouched" if other is not None else "untouched series",
        per=60.0 if kind == "count" else 1.0,
        changes=_change_marks(window, series, words, together),
        events=event_marks(events, series),
    )


def _bundle(row: dict[str, Any], window: Window) -> str:
    """Name a bundle and all its settings, for the title; nothing where the change was made alone."""
    names = ", ".join(setting.replace("_", " ") for setting in (row["setting"], *window.simultaneous))
    return f", bundle {row['bundle']}: {names}" if row["bundle"] and window.simultaneous else ""


def _together(row: dict[str, Any], window: Window) -> str:
    """Say beside a setting that others were changed with it, so that nothing is put down to it alone."""
    n = len(window.simultaneous)
    if not n:
        return ""
    others = f"{n} other{'' if n == 1 else 's'}"
    return f" with {others} (bundle {row['bundle']})" if row["bundle"] else f" with {others}"


def _change_marks(window: Window, series: PracticeSeries, words: str, together: str) -> tuple[ChangeMark, ...]:
    marks = []
    for crossing in window.crossings:
        first = next((i for i, day in enumerate(series.dates) if day is not None and day >= crossing.on), series.n)
        marks.append(
            ChangeMark(
                position=first - 0.5,
                on=crossing.on,
                text=f"{words} {crossing.old_value:g} → {crossing.new_value:g}{together}",
            )
        )
    return tuple(marks)
