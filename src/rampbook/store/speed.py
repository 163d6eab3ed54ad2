"""Reading measured speeds, the limit in force and the match profile from a store."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from rampbook.domain.speed import DIRECTIONS, USUAL, Judged, SpeedLimit, judge, limit_of
from rampbook.domain.speed_card import SpeedCard
from rampbook.domain.staleness import EVENTS_THAT_COUNT, Doubt, Moment, event_counts, is_since, setting_counts
from rampbook.store.connection import Store

Row = dict[str, Any]


def limits_on(store: Store, on: date) -> dict[str, SpeedLimit]:
    """Return the limit of each direction on a day: what the club has stated, else the usual one."""
    stated = {
        row["direction"]: limit_of(row["limit_kmh"], row["gate_m"], row["gate_s"])
        for row in store.rows("speed_limits_on", on)
    }
    return {direction: stated.get(direction, USUAL[direction]) for direction in DIRECTIONS}


def passes_of(store: Store, athlete: str, until: date | None = None) -> list[Row]:
    """Return the measured speeds of an athlete, in order of time."""
    return store.rows("speed_passes_of_athlete", athlete, until)


def judged(row: Row, limits: Mapping[str, SpeedLimit]) -> Judged:
    """Hold one measured speed against the limit of its direction."""
    return judge(
        limits[row["direction"]],
        row["method"],
        gate_m=row["gate_m"],
        seconds=row["seconds"],
        read_kmh=row["speed_kmh"],
    )


def match_profile(store: Store, athlete: str, on: date) -> Row | None:
    """Return what was last stated of an athlete's match profile by a day, or None."""
    return next(iter(store.rows("match_profile_on", athlete, on)), None)


def speed_card(
    store: Store,
    athlete: str,
    direction: str,
    *,
    profile: int,
    limits: Mapping[str, SpeedLimit],
    until: date | None = None,
    chair: str | None = None,
) -> SpeedCard:
    """Return what is known of one direction of one profile: the fastest passage of the latest day that has one.

    Judged by the limit given, whatever held on the day it was measured: what counts is the next match.
    """
    mine = [
        row
        for row in passes_of(store, athlete, until)
        if (row["direction"], row["profile"]) == (direction, profile)
        and (None in (chair, row["chair"]) or chair == row["chair"])
    ]
    limit = limits[direction]
    if not mine:
        return SpeedCard(direction=direction, profile=profile, limit=limit)
    doubts = tuple(doubts_of(store, athlete, mine[-1], until))
    # Passages of that day from before a change that a later one has already answered count no more.
    latest = [
        row
        for row in mine
        if row["on"] == mine[-1]["on"] and tuple(doubts_of(store, athlete, row, until)) == doubts
    ]
    fastest = max(latest, key=lambda row: judged(row, limits).kmh)
    return SpeedCard(
        direction=direction, profile=profile, limit=limit, measured=fastest, judged=judged(fastest, limits),
        n=len(latest), doubts=doubts,
    )  # fmt: skip


def doubts_of(store: Store, athlete: str, measured: Row, until: date | None = None) -> list[Doubt]:
    """Return what happened since a measurement, up to a day, that could have moved the speed in its direction."""
    since = _moment(measured)
    moves = [
        _of_setting(row, measured)
        for row in store.rows("setting_moves_of_athlete", athlete, until)
        if _touches(row, measured) and is_since(_moment(row), since)
    ]
    events = [
        _of_event(row)
        for row in store.rows("events_with_time", athlete, until)
        if event_counts(row["event"]) and is_since(_moment(row), since)
    ]
    return sorted(dict.fromkeys([*moves, *events]), key=lambda doubt: doubt.on)


def _touches(row: Row, measured: Row) -> bool:
    """Whether a move of a setting is one of the chair, profile and direction measured, or puts another chair there."""
    if _is_another_chair(row, measured):
        return bool(row["on"] == row["first_reading_on"])
    return (
        row["profile"] == measured["profile"]
        and row["value"] != row["value_before"]
        and row["value_before"] is not None
        and setting_counts(row["setting"], measured["direction"])
    )


def _is_another_chair(row: Row, measured: Row) -> bool:
    return None not in (row["chair"], measured["chair"]) and row["chair"] != measured["chair"]


def _of_setting(row: Row, measured: Row) -> Doubt:
    if _is_another_chair(row, measured):
        return Doubt(on=row["on"], what=f"chair {row['chair']} was put on the sheet", why="this was another chair")
    values = f"{row['setting']} {row['value_before']:.12g} to {row['value']:.12g}"
    if row["change"] is None:
        return Doubt(on=row["on"], what=values, why="read from the chair, no change was logged")
    return Doubt(on=row["on"], what=values, why=f"changed ({row['change']})")


def _of_event(row: Row) -> Doubt:
    what = row["event"].replace("_", " ") + (f" ({row['note']})" if row["note"] else "")
    return Doubt(on=row["on"], what=what, why=EVENTS_THAT_COUNT.get(row["event"], EVENTS_THAT_COUNT["other"]))


def _moment(row: Row) -> Moment:
    return Moment(on=row["on"], at=row["time"], logged_at=row["logged_at"])
