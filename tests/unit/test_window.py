"""Which practices belong to a change: nothing else may move inside its window without being named."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest

from rampbook.domain.window import window_of
from rampbook.errors import EntryError


def change(name: str, day: int, setting: str, old: float, new: float, **more: Any) -> dict[str, Any]:
    return {
        "change": name,
        "on": date(2026, 1, day),
        "time": None,
        "setting": setting,
        "old_value": old,
        "new_value": new,
    } | more


def test_a_lone_change_uses_every_day() -> None:
    window = window_of([change("c1", 10, "acceleration_max", 80, 65)], "c1")
    assert (window.start, window.end, window.simultaneous) == (None, None, ())
    assert [window.phase(date(2026, 1, day), None) for day in (9, 10, 11)] == [0, 1, 1]


def test_another_setting_before_and_after_bounds_the_window() -> None:
    changes = [
        change("a", 3, "deadband", 5, 8),
        change("b", 10, "acceleration_max", 80, 65),
        change("c", 20, "turn_speed_max", 40, 45),
    ]
    window = window_of(changes, "b")
    assert (window.start, window.end) == (date(2026, 1, 3), date(2026, 1, 20))
    assert [window.holds(date(2026, 1, day)) for day in (2, 3, 19, 20)] == [False, True, True, False]


def test_there_and_back_is_one_run() -> None:
    changes = [
        change("a", 5, "deadband", 5, 8),
        change("b", 10, "deadband", 8, 5),
        change("c", 15, "deadband", 5, 8),
        change("d", 20, "deadband", 8, 10),
    ]
    for name in ("a", "c"):
        window = window_of(changes, name)
        assert [crossing.to_phase for crossing in window.crossings] == [1, 0, 1]
        assert [window.phase(date(2026, 1, day), None) for day in (1, 6, 11, 16)] == [0, 1, 0, 1]
        assert window.end == date(2026, 1, 20)


def test_asking_about_the_return_turns_old_and_new_round() -> None:
    changes = [change("a", 5, "deadband", 5, 8), change("b", 10, "deadband", 8, 5)]
    window = window_of(changes, "b")
    assert (window.old_value, window.new_value) == (8, 5)
    assert [window.phase(date(2026, 1, day), None) for day in (1, 6, 11)] == [1, 0, 1]


def test_two_settings_on_one_day_are_named() -> None:
    changes = [change("a", 10, "deadband", 5, 8), change("b", 10, "acceleration_max", 80, 65)]
    window = window_of(changes, "a")
    assert window.simultaneous == ("acceleration_max",)
    assert (window.start, window.end) == (None, None)


def test_a_third_value_of_the_same_setting_ends_the_window() -> None:
    changes = [change("a", 5, "deadband", 5, 8), change("b", 12, "deadband", 8, 10)]
    assert window_of(changes, "a").end == date(2026, 1, 12)
    assert window_of(changes, "b").start == date(2026, 1, 5)


def test_the_time_of_day_decides_where_both_are_known() -> None:
    window = window_of([change("a", 10, "deadband", 5, 8, time=time(18, 0))], "a")
    assert window.phase(date(2026, 1, 10), time(17, 0)) == 0
    assert window.phase(date(2026, 1, 10), time(19, 0)) == 1
    assert window.phase(date(2026, 1, 10), None) == 1


def test_an_unknown_change_is_refused() -> None:
    with pytest.raises(EntryError, match='no change "x"'):
        window_of([], "x")
