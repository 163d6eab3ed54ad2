"""A new chair starts a new baseline: what it brought is credited to no setting, and nothing is pooled in silence."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

import rampbook
from rampbook.gather import gather
from rampbook.harm import watch
from rampbook.store import Store, open_store
from rampbook.store.saved import record_rows
from rampbook.workflow import effect_of_change, effects_in_season

FIRST = date(2026, 1, 5)
CHANGED = FIRST + timedelta(days=3 * 9)
CAME = FIRST + timedelta(days=3 * 10)
WOBBLE = (0.4, -0.3, 0.1, -0.5, 0.2, 0.6, -0.2)


def practice_days(n: int = 28) -> list[date]:
    return [FIRST + timedelta(days=3 * i) for i in range(n)]


def seconds(i: int, on: date) -> float:
    """A drill that no setting moves: 30 s on the old chair, 24 s on the new one."""
    return (24.0 if on >= CAME else 30.0) + WOBBLE[i % len(WOBBLE)]


def change(name: str, on: date, *, chair: str = "C1", old: float = 50, new: float = 45) -> dict[str, Any]:
    return {"change": name, "athlete": "K01", "chair": chair, "profile": 1, "setting": "turn_speed_max",
            "old_value": old, "new_value": new, "on": on, "role": "coach", "planned": 1}  # fmt: skip


def sheet(chair: str, on: date, value: float) -> dict[str, Any]:
    return {"athlete": "K01", "chair": chair, "profile": 1, "setting": "turn_speed_max", "value": value, "on": on}


def filled(store: Store, changes: Sequence[dict[str, Any]], **chairs: dict[str, Any]) -> Store:
    """Fill a store with the drill, collisions that double on the new chair, two sheets, and these changes."""
    days = practice_days()
    practices = [{"practice": f"P{i:02d}", "athlete": "K01", "on": on, "minutes": 60} for i, on in enumerate(days)]
    tables = {
        "athletes": [{"athlete": "K01", "consent": "club", "consent_on": FIRST}],
        "chairs": [{"chair": code, "athlete": "K01"} | row for code, row in chairs.items()],
        "settings": [sheet("C1", FIRST, 50), sheet("C2", CAME, 30)],
        "practices": practices,
        "changes": list(changes),
        "attempts": [
            {"attempt": f"A{i:02d}", "practice": f"P{i:02d}", "athlete": "K01", "profile": 1, "drill": "gate",
             "seconds": seconds(i, on)}
            for i, on in enumerate(days)
        ],
        "counts": [
            {"practice": f"P{i:02d}", "athlete": "K01", "profile": 1, "outcome": "collisions",
             "count": 9 if on >= CAME else 1, "minutes": 60}
            for i, on in enumerate(days)
        ],
    }  # fmt: skip
    record_rows(store, tables)
    return store


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return open_store(tmp_path / "club.duckdb")


def test_the_step_of_the_new_chair_is_one_if_nobody_looks_at_the_chair() -> None:
    """The made-up case is a trap: taken as one series, the setting seems to have made the drill a fifth faster."""
    days = practice_days()
    frame = {"practice": days, "phase": [int(on >= CHANGED) for on in days],
             "value": [seconds(i, on) for i, on in enumerate(days)]}  # fmt: skip
    import polars as pl

    found = rampbook.estimate(pl.DataFrame(frame), kind="time")
    assert found.verdict == "better" and found.estimate is not None and found.estimate < 0.9


@pytest.mark.parametrize("chairs", [{}, {"C2": {"since": CAME}}, {"C1": {"until": CAME - timedelta(days=1)}}])
def test_the_step_of_a_new_chair_is_not_credited_to_a_setting(store: Store, chairs: dict[str, dict[str, Any]]) -> None:
    with filled(store, [change("step", CHANGED)], **chairs) as book:
        found = effect_of_change(book, "step", "drill:gate")
        series = gather(book, "step", "drill:gate").series
    assert [day for day in series.dates if day is not None and day >= CAME] == []
    assert (series.n_before, series.n_after) == (9, 1)
    assert (found.verdict, found.rung, found.estimate) == ("cannot tell yet", "noted", None)
    told = [warned.message for warned in found.warnings if warned.code == "new_baseline"]
    assert len(told) == 1 and f"A new baseline starts on {CAME.isoformat()}" in told[0]


def test_every_effect_of_the_season_says_that_a_new_baseline_starts(store: Store) -> None:
    tuned = CAME + timedelta(days=3 * 6)
    changes = [change("step", CHANGED), change("tuned", tuned, chair="C2", old=30, new=33)]
    with filled(store, changes, C2={"since": CAME}) as book:
        found = {effect.change: effect for effect in effects_in_season(book, "K01")}
    assert found.keys() == {"step", "tuned"}
    for effect in found.values():
        told = [warned.message for warned in effect.warnings if warned.code == "new_baseline"]
        assert len(told) == 1 and f"A new baseline starts on {CAME.isoformat()}" in told[0]
    assert found["tuned"].n["before"] == 6 and found["tuned"].n["after"] == 12


def test_a_change_on_the_day_the_chair_came_has_nothing_to_compare_with(store: Store) -> None:
    with filled(store, [change("first", CAME, chair="C2", old=30, new=33)], C2={"since": CAME}) as book:
        found = effect_of_change(book, "first", "drill:gate")
    assert found.rung == "noted" and found.estimate is None and found.n["before"] == 0


def test_practices_that_may_be_of_either_chair_are_noted_only(store: Store) -> None:
    chairs = {"C1": {"until": date(2026, 12, 1)}, "C2": {"since": FIRST}}
    with filled(store, [change("step", CHANGED)], **chairs) as book:
        found = effect_of_change(book, "step", "drill:gate")
    assert found.rung == "noted"
    assert "chair C2 was in use as well, and the practices do not say which chair was driven" in found.allowed_sentence
    assert "two_chairs" in [warned.code for warned in found.warnings]


def test_one_chair_alone_is_cut_nowhere(store: Store) -> None:
    record_rows(store, {"athletes": [{"athlete": "K01", "consent": "club"}], "settings": [sheet("C1", FIRST, 50)],
                        "changes": [change("step", CHANGED)],
                        "practices": [{"practice": f"P{i}", "athlete": "K01", "on": on}
                                      for i, on in enumerate(practice_days())],
                        "attempts": [{"practice": f"P{i}", "profile": 1, "drill": "gate", "seconds": 30 + WOBBLE[i % 7]}
                                     for i in range(28)]})  # fmt: skip
    with store as book:
        found = effect_of_change(book, "step")
    assert found.n["practices"] == 28 and "new_baseline" not in [warned.code for warned in found.warnings]


def test_harm_on_the_new_chair_raises_no_alert_for_a_setting_of_the_old_one(store: Store) -> None:
    with filled(store, [change("step", CHANGED)], C2={"since": CAME}) as book:
        old_chair = watch(book, "K01", until=CAME - timedelta(days=1))
        now = watch(book, "K01")
    assert [(watched.of.change, watched.is_alert) for watched in old_chair] == [("step", False)]
    assert now == []


def test_harm_that_was_there_before_the_chair_came_is_watched_on_the_new_chair_alone(store: Store) -> None:
    tuned = CAME + timedelta(days=3 * 6)
    with filled(store, [change("tuned", tuned, chair="C2", old=30, new=33)], C2={"since": CAME}) as book:
        found = watch(book, "K01")
    assert [(watched.outcome, watched.n_before, watched.is_alert) for watched in found] == [("collisions", 6, False)]
