"""What was measured of one chair in metres, seconds and degrees, and what practice showed on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median
from typing import Any

from rampbook.domain.chairs import Chair, chair_on
from rampbook.domain.kinematics import RunMeasure, measure_gate, measure_trace
from rampbook.domain.matching import BEHAVIOURS, FULL_TURN, Measured, StartValue, Yardstick
from rampbook.domain.outcomes import drill_of, drill_outcome
from rampbook.domain.speed import speed_kmh
from rampbook.errors import EntryError
from rampbook.store.connection import Store
from rampbook.store.runs import runs_of, trace_of_run
from rampbook.units import KMH_PER_M_S

Row = dict[str, Any]
LAST_PRACTICES = 5
_UNITS = {"time": "s", "count": "an hour", "rating": "of 10", "success": "of tries"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Driven:
    """One profile of one chair of an athlete, among all chairs the athlete has had."""

    athlete: str
    chair: Chair
    profile: int
    chairs: Sequence[Chair]

    def holds(self, row: Row) -> bool:
        """Whether a row is of this chair: by its code, else by its day."""
        if row.get("chair") is not None:
            return bool(row["chair"] == self.chair.chair)
        return chair_on(self.chairs, row["on"]) == self.chair


def measured_behaviour(store: Store, driven: Driven) -> list[Measured]:
    """Return each behaviour as it was last measured on this chair and profile; what never was is left out."""
    changed = [
        row["on"] for row in store.rows("changes_of_athlete", driven.athlete)
        if row["chair"] == driven.chair.chair and row["profile"] == driven.profile
    ]  # fmt: skip
    latest: dict[str, tuple[float, date, str]] = {}
    for found in (*_from_runs(store, driven), *_from_passes(store, driven), *_from_turns(store, driven)):
        behaviour, value, on, how = found
        if behaviour not in latest or on >= latest[behaviour][1]:
            latest[behaviour] = (value, on, how)
    return [
        Measured(behaviour=behaviour, value=value, on=on, how=how, changed_since=any(day > on for day in changed))
        for name, behaviour in BEHAVIOURS.items()
        if name in latest
        for value, on, how in [latest[name]]
    ]


def yardsticks(store: Store, driven: Driven) -> list[Yardstick]:
    """Return what the last practices on this chair and profile showed, an outcome at a time; full turns left out."""
    out = []
    named = {
        row["outcome"]: row["kind"]
        for row in store.rows("outcomes_of_athlete", driven.athlete)
        if row["profile"] in (None, driven.profile) and drill_of(row["outcome"]) not in FULL_TURN
    }
    for outcome, kind in named.items():
        days: dict[date, list[Row]] = {}
        for row in _entries(store, driven, outcome):
            days.setdefault(row["on"], []).append(row)
        values = {on: value for on, rows in days.items() if (value := _of_a_day(kind, rows)) is not None}
        last = sorted(values)[-LAST_PRACTICES:]
        if last:
            shown = [values[on] for on in last]
            out.append(
                Yardstick(outcome=drill_of(outcome) or outcome, unit=_UNITS[kind], middle=median(shown),
                          low=min(shown), high=max(shown), n=len(last), last_on=last[-1])
            )  # fmt: skip
    return out


def start_values(store: Store, driven: Driven) -> list[StartValue]:
    """Return the first value of every setting of this chair and profile, with the one it has now."""
    first: dict[str, StartValue] = {}
    for row in store.rows("setting_history", driven.athlete):
        if (row["chair"], row["profile"]) != (driven.chair.chair, driven.profile):
            continue
        setting, value = row["setting"], row["value"]
        started = first.get(setting)
        first[setting] = StartValue(
            setting=setting, value=started.value if started else value, on=started.on if started else row["since"],
            now=value,
        )  # fmt: skip
    return list(first.values())


def _from_runs(store: Store, driven: Driven) -> list[tuple[str, float, date, str]]:
    out: list[tuple[str, float, date, str]] = []
    for run in runs_of(store, driven.athlete, driven.profile, None):
        if not driven.holds(run):
            continue
        how = run["method"] or ("speed trace" if run["n_samples"] else "distance and time")
        try:
            found = _read(store, run)
        except EntryError:
            # A trace that cannot be read shows nothing: the behaviour then stands as not measured, and is asked for.
            continue
        if found.is_steady:
            out.append((f"speed_{run['direction']}", found.top_speed_m_s * KMH_PER_M_S, run["on"], how))
        if run["direction"] == "forward":
            speed = f"{found.top_speed_m_s * KMH_PER_M_S:.1f} km/h"
            shown = [("time_to_speed", found.time_to_share_s, f"{how}, top speed {speed}"),
                     ("stopping_distance", found.stopping_distance_m, f"{how}, from {speed}")]  # fmt: skip
            out += [(name, value, run["on"], told) for name, value, told in shown if value is not None]
    return out


def _read(store: Store, run: Row) -> RunMeasure:
    trace = trace_of_run(store, run["run"]) if run["n_samples"] else None
    return measure_trace(trace) if trace else measure_gate(run["distance_m"], run["seconds"], start=run["start"])


def _from_passes(store: Store, driven: Driven) -> list[tuple[str, float, date, str]]:
    fastest: dict[tuple[str, date], tuple[float, str]] = {}
    for row in store.rows("speed_passes_of_athlete", driven.athlete, None):
        if row["profile"] != driven.profile or not driven.holds(row):
            continue
        speed = row["speed_kmh"] or speed_kmh(row["gate_m"], row["seconds"])
        place = (row["direction"], row["on"])
        fastest[place] = max(fastest.get(place, (0.0, "")), (speed, row["method"]))
    return [(f"speed_{direction}", speed, on, how) for (direction, on), (speed, how) in fastest.items()]


def _from_turns(store: Store, driven: Driven) -> list[tuple[str, float, date, str]]:
    out = []
    for drill, behaviour in FULL_TURN.items():
        days: dict[date, list[float]] = {}
        for row in _entries(store, driven, drill_outcome(drill)):
            if row["finished"] and row["value"]:
                days.setdefault(row["on"], []).append(row["value"])
        out += [
            (behaviour, 360 / median(seconds), on, f"middle of {len(seconds)}, one full turn on the spot")
            for on, seconds in sorted(days.items())
        ]
    return out


def _entries(store: Store, driven: Driven, outcome: str) -> list[Row]:
    return [
        row
        for row in store.rows("outcome_entries", driven.athlete, outcome)
        if row["profile"] in (None, driven.profile) and driven.holds(row)
    ]


def _of_a_day(kind: str, rows: Sequence[Row]) -> float | None:
    """Return the value of one day; None where it cannot be told, such as a count without minutes."""
    if kind in ("time", "rating"):
        known = [row["value"] for row in rows if row["value"] is not None]
        return median(known) if known else None
    sizes = [row["size"] for row in rows]
    if None in sizes or not sum(sizes):
        return None
    total: float = sum(row["value"] for row in rows) / sum(sizes)
    return 60 * total if kind == "count" else total
