"""Which chair is driven when: stated days come first, sheets speak where nothing is stated."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from rampbook.domain.chairs import Chair, baselines, chair_on, is_driven, stretch_of
from rampbook.domain.window import window_of


def chair(code: str | None, **more: Any) -> Chair:
    """A chair of which nothing is known but what is given."""
    return Chair(**(dict.fromkeys(Chair.__slots__) | {"chair": code} | more))


def march(day: int) -> date:
    return date(2026, 3, day)


OLD = chair("C1", read_on=date(2025, 9, 1))
FIRST_SHEET_IS_NO_MOVE = [
    [OLD],
    [OLD, chair("C2", read_on=date(2025, 9, 1))],
    [OLD, chair(None, read_on=march(1))],
    [chair(None, read_on=date(2025, 9, 1)), chair("C1", changed_on=march(1))],
]
MOVES = [
    [OLD, chair("C2", since=march(5))],
    [OLD, chair("C2", since=march(5), read_on=march(1))],
    [OLD, chair("C2", read_on=march(5))],
    [OLD, chair("C2", changed_on=march(5))],
    [chair(None, read_on=date(2025, 9, 1)), chair("C2", read_on=march(5))],
]


@pytest.mark.parametrize("chairs", FIRST_SHEET_IS_NO_MOVE)
def test_first_sheet_of_the_first_chair_is_no_change_of_chair(chairs: list[Chair]) -> None:
    assert baselines(chairs) == []


@pytest.mark.parametrize("chairs", MOVES)
def test_another_chair_starts_a_new_baseline_on_its_first_day(chairs: list[Chair]) -> None:
    assert [line.on for line in baselines(chairs)] == [march(5)]
    before, after = stretch_of(chairs, chairs[0].chair, march(1)), stretch_of(chairs, "C2", march(9))
    assert (before.end, after.start) == (march(5), march(5))
    assert before.also == after.also == ()
    assert [chair_on(chairs, day) for day in (march(4), march(5))] == chairs


def test_a_chair_on_loan_ends_and_the_first_is_driven_again() -> None:
    chairs = [OLD, chair("C2", since=march(5), until=march(9))]
    assert [line.on for line in baselines(chairs)] == [march(5), march(10)]
    assert [is_driven(chairs, OLD, march(day)) for day in (4, 5, 9, 10)] == [True, False, False, True]
    again = stretch_of(chairs, "C1", march(20))
    assert (again.start, again.end) == (march(10), None)


def test_a_chair_that_goes_as_the_next_one_comes_is_one_new_baseline() -> None:
    lines = baselines([chair("C1", read_on=date(2025, 9, 1), until=march(4)), chair("C2", since=march(5))])
    assert [line.on for line in lines] == [march(5)]
    assert lines[0].why == "chair C2 is driven from then on and chair C1 was last driven on 2026-03-04"


def test_two_chairs_in_use_at_once_are_named() -> None:
    both = [OLD, chair("C2", read_on=date(2025, 9, 1))]
    assert stretch_of(both, "C1", march(1)).also == ("C2",)
    overlap = [chair("C1", read_on=date(2025, 9, 1), until=march(20)), chair("C2", since=march(5))]
    assert stretch_of(overlap, "C2", march(9)).also == ("C1",)
    assert stretch_of(overlap, "C2", march(25)).also == ()


def test_a_last_day_settles_which_of_two_chairs_is_driven() -> None:
    chairs = [chair("C1", read_on=date(2025, 9, 1), until=date(2025, 9, 1)), chair("C2", read_on=date(2025, 9, 1))]
    assert stretch_of(chairs, "C2", march(1)).also == ()


def test_a_change_on_a_chair_that_is_not_driven_any_more_has_no_days() -> None:
    stretch = stretch_of([OLD, chair("C2", since=march(5))], "C1", march(9))
    assert not any(stretch.holds(march(day)) for day in range(1, 31))


def change(name: str, on: date, old: float, new: float) -> dict[str, Any]:
    return {"change": name, "on": on, "time": None, "setting": "deadband", "old_value": old, "new_value": new}


def test_a_change_made_before_its_chair_is_driven_has_only_days_after_it() -> None:
    chairs = [OLD, chair("C2", since=march(5), read_on=march(1))]
    window = window_of([change("a", march(2), 5, 8)], "a", stretch_of(chairs, "C2", march(2)))
    assert [window.holds(march(day)) for day in (3, 4, 5, 9)] == [False, False, True, True]
    assert window.phase(march(5), None) == 1


def test_a_return_after_the_change_of_chair_is_not_of_the_run() -> None:
    lent = [OLD, chair("C2", since=march(5), until=march(9))]
    changes = [change("a", march(1), 5, 8), change("b", march(20), 8, 5)]
    window = window_of(changes, "a", stretch_of(lent, "C1", march(1)))
    assert [crossing.change for crossing in window.crossings] == ["a"]
    assert (window.start, window.end) == (None, march(5))
    later = window_of(changes, "b", stretch_of(lent, "C1", march(20)))
    assert [crossing.change for crossing in later.crossings] == ["b"]
    assert (later.start, later.end) == (march(10), None)
