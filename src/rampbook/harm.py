"""The standing watch: every change in force, its harm outcomes before and after, and whether one got worse.

A change of chair bounds both sides, and a change on a chair that is no longer driven is not watched.

Nothing heavy is loaded here, since logging a practice asks it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from rampbook.domain.chairs import Chair, chairs_from, is_driven, stretch_of
from rampbook.domain.events import EVENTS
from rampbook.domain.outcomes import harm_direction, is_serious
from rampbook.domain.window import is_after
from rampbook.estimators.watch import LEAST_BEFORE, MOST_AFTER, MOST_BEFORE, Looks, count_looks, rating_looks
from rampbook.evidence.harm import ALERT, EASED, OVER, QUIET, TOO_FEW, WAITING, Watched, WatchedChange
from rampbook.store import Store

Row = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Practice:
    """One outcome in one practice: all that was counted, or the mean rating; minutes None where not known."""

    on: date
    value: float
    minutes: float | None


def watch(
    store: Store,
    athlete: str | None = None,
    *,
    change: str | None = None,
    until: date | None = None,
    last_only: bool = False,
) -> list[Watched]:
    """Watch every change in force, of one athlete or all, in order of time.

    Parameters
    ----------
    store : Store
    athlete : str, optional
        Code; default everybody.
    change : str, optional
        The id that one change has now, to watch that one alone.
    until : date, optional
        The last day that counts; default the whole record.
    last_only : bool
        Whether only the last practice is looked at, which is quicker; an alert that is past is then not told.
    """
    logged = store.rows("changes_with_sheet", athlete, until)
    standing = _once_a_bundle([row for row in _in_force(logged) if change in (None, row["change"])])
    codes = dict.fromkeys(row["athlete"] for row in standing)
    chairs = {code: chairs_from(store.rows("chairs_of_athlete", code)) for code in codes}
    standing = [row for row in standing if _is_driven(row, chairs[row["athlete"]], until or date.today())]
    entries = {code: store.rows("harm_entries", code, until) for code in codes}
    found = [
        watched
        for row in standing
        for watched in _outcomes(row, _of_chair(row, entries[row["athlete"]], chairs[row["athlete"]]), last_only)
    ]
    return _with_what_else(store, found, logged)


def alerts(found: Sequence[Watched]) -> list[Watched]:
    """Return the alerts that stand."""
    return [watched for watched in found if watched.is_alert]


def _in_force(logged: Sequence[Row]) -> list[Row]:
    """Leave out what was undone, and returns to an old value; going back on a return puts the new value in force."""
    undoes = {row["change"]: row["goes_back_to"] for row in logged}
    return [row for row in logged if row["in_force"] and not _steps_back(row["change"], undoes) % 2]


def _is_driven(row: Row, chairs: Sequence[Chair], on: date) -> bool:
    """Whether the chair of a change is in use on a day; one that is not known may be."""
    mine = next((chair for chair in chairs if chair.chair == row["chair"]), None)
    return mine is None or mine.starts is None or mine.starts > on or is_driven(chairs, mine, on)


def _of_chair(row: Row, entries: Sequence[Row], chairs: Sequence[Chair]) -> list[Row]:
    """Keep the entries of the days on which the chair of a change is driven."""
    stretch = stretch_of(chairs, row["chair"], row["on"])
    return [entry for entry in entries if stretch.holds(entry["on"])]


def _once_a_bundle(rows: Sequence[Row]) -> list[Row]:
    """Leave one change of each bundle: all of them have the same practices, and the same way back."""
    first: dict[str, Row] = {}
    return [row for row in rows if row["bundle"] is None or first.setdefault(row["bundle"], row) is row]


def _steps_back(change: str, undoes: dict[str, str | None]) -> int:
    """Count how many changes one goes back on, one after the other; the set ends a circle that nobody should log."""
    seen: set[str] = set()
    at: str | None = change
    while at is not None and at not in seen:
        seen.add(at)
        at = undoes.get(at)
    return len(seen) - 1


def _outcomes(row: Row, entries: Sequence[Row], last_only: bool) -> list[Watched]:
    """Watch each harm outcome that was measured with the change's profile, or with none named."""
    named: dict[tuple[str, str], list[Row]] = {}
    for entry in entries:
        if entry["profile"] in (None, row["profile"]) and harm_direction(entry["kind"], entry["outcome"]):
            named.setdefault((entry["kind"], entry["outcome"]), []).append(entry)
    return [_watched(row, kind, outcome, _sides(row, kind, mine), last_only) for (kind, outcome), mine in named.items()]


def _watched(
    row: Row,
    kind: str,
    outcome: str,
    sides: tuple[list[_Practice], list[_Practice]],
    last_only: bool,
) -> Watched:
    before, after = sides
    serious = next((held for held in after if held.value), None) if _first_of_its_kind(kind, outcome, before) else None
    looks = _looks(kind, outcome, before, after, last_only) if serious is None else None
    raised = after.index(serious) + 1 if serious is not None else None if looks is None else looks.raised
    old, new, per = _levels(kind, before, after)
    return Watched(
        of=WatchedChange(**{name: row[name] for name in WatchedChange.__slots__}),
        outcome=outcome,
        kind=kind,
        harm=str(harm_direction(kind, outcome)),
        state=ALERT if serious is not None else _state(before, after, looks),
        n_before=len(before),
        n_after=len(after),
        before=old,
        after=new,
        per=per,
        p=None if looks is None else looks.p[-1],
        raised=raised,
        raised_on=None if raised is None else after[raised - 1].on,
        serious=serious is not None,
        events_a_practice=sum(held.value for held in before) / len(before) if before and kind == "count" else 0.0,
        last_on=after[-1].on if after else None,
    )


def _first_of_its_kind(kind: str, outcome: str, before: Sequence[_Practice]) -> bool:
    """Whether one event is enough: of a serious kind, and none in the practices with the old value."""
    return kind == "count" and is_serious(outcome) and not any(held.value for held in before)


def _sides(row: Row, kind: str, entries: Sequence[Row]) -> tuple[list[_Practice], list[_Practice]]:
    """Give the last practices with the old value of the setting, and the first ones with the new."""
    sides: tuple[dict[str, list[Row]], dict[str, list[Row]]] = ({}, {})
    for entry in entries:
        on, at = entry["on"], entry["time"]
        if row["since"] is None or is_after(on, at, row["since"], row["since_time"]):
            side = sides[is_after(on, at, row["on"], row["time"])]
            side.setdefault(entry["practice"], []).append(entry)
    before, after = ([_practice(kind, rows) for rows in side.values()] for side in sides)
    return before[-MOST_BEFORE:], after[:MOST_AFTER]


def _practice(kind: str, rows: Sequence[Row]) -> _Practice:
    total = sum(row["value"] for row in rows)
    minutes = [row["minutes"] for row in rows]
    if kind == "rating":
        return _Practice(on=rows[0]["on"], value=total / len(rows), minutes=None)
    return _Practice(on=rows[0]["on"], value=total, minutes=None if None in minutes else sum(minutes))


def _looks(
    kind: str, outcome: str, before: Sequence[_Practice], after: Sequence[_Practice], last_only: bool
) -> Looks | None:
    if len(before) < LEAST_BEFORE or not after:
        return None
    held = [*before, *after]
    if kind == "count":
        counts = [round(practice.value) for practice in held]
        minutes = _minutes(held)
        exposures = [1.0] * len(held) if minutes is None else minutes
        return count_looks(counts, exposures, len(before), last_only=last_only)
    sign = 1 if harm_direction(kind, outcome) == "higher" else -1
    return rating_looks([sign * practice.value for practice in held], len(before), last_only=last_only)


def _minutes(held: Sequence[_Practice]) -> list[float] | None:
    """Give the minutes of each practice, or None where one is not known: then practices are compared."""
    known = [practice.minutes for practice in held if practice.minutes is not None]
    return known if len(known) == len(held) else None


def _state(before: Sequence[_Practice], after: Sequence[_Practice], looks: Looks | None) -> str:
    if looks is None:
        return WAITING if not after else TOO_FEW
    if looks.raised is not None:
        return EASED if looks.eased else ALERT
    return OVER if len(after) == MOST_AFTER else QUIET


def _levels(
    kind: str, before: Sequence[_Practice], after: Sequence[_Practice]
) -> tuple[float | None, float | None, str]:
    """Give the level on each side and its unit; None on a side without practices."""
    minutes = _minutes([*before, *after]) if kind == "count" else None
    hours = [1.0] * (len(before) + len(after)) if minutes is None else [value / 60 for value in minutes]
    per = "of 10" if kind == "rating" else "a practice" if minutes is None else "an hour"
    old, new = (
        sum(held.value for held in side) / sum(part) if side else None
        for side, part in ((before, hours[: len(before)]), (after, hours[len(before) :]))
    )
    return old, new, per


def _with_what_else(store: Store, found: Sequence[Watched], logged: Sequence[Row]) -> list[Watched]:
    """Give each alert the names of what else happened from the day of its change to its last practice."""
    events = {
        code: [row for row in store.rows("events_of_athlete", code) if row["drill"] is None]
        for code in dict.fromkeys(watched.of.athlete for watched in alerts(found))
    }
    return [
        replace(watched, also=_also(watched, logged, events[watched.of.athlete])) if watched.is_alert else watched
        for watched in found
    ]


def _also(watched: Watched, logged: Sequence[Row], events: Sequence[Row]) -> tuple[str, ...]:
    of = watched.of
    changes = [
        (row["on"], f"{row['setting'].replace('_', ' ')} {row['old_value']:g} to {row['new_value']:g}")
        for row in logged
        if row["change"] != of.change and (row["athlete"], row["profile"]) == (of.athlete, of.profile)
    ]
    told = [(event["on"], EVENTS.get(event["event"], event["event"])) for event in events]
    last = watched.last_on or of.on
    return tuple(f"{text} on {on.isoformat()}" for on, text in changes + told if of.on <= on <= last)
