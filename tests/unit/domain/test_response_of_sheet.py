"""From a sheet to curves and ramps: the dial, the ends, what is missing, and what changes besides the knob."""

from __future__ import annotations

import pytest

from rampbook.domain.response import at_dial, response_of
from rampbook.domain.throw import OTHER
from rampbook.errors import EntryError

SHEET = {
    "deadband": 10.0, "throw_forward": 60.0, "throw_left": 50.0, "throw_right": 50.0,
    "forward_speed_max": 80.0, "forward_speed_min": 20.0, "turn_speed_max": 45.0,
    "acceleration_max": 40.0, "acceleration_min": 20.0, "deceleration_max": 50.0, "deceleration_min": 30.0,
}  # fmt: skip


def test_every_direction_has_its_own_throw_and_speed() -> None:
    response = response_of(SHEET, dial_percent=100)
    assert {way: (curve.throw, curve.full) for way, curve in response.curves.items()} == {
        "forward": (0.6, 80), "left": (0.5, 45), "right": (0.5, 45),
    }  # fmt: skip
    assert response.missing["reverse"] == ("throw_reverse",)


def test_the_dial_lies_between_the_two_ends() -> None:
    response = response_of(SHEET, dial_percent=60)
    # By hand: 20 + 0.6 * 60 = 56, 20 + 0.6 * 20 = 32, 30 + 0.6 * 20 = 42.
    assert response.curves["forward"].full == pytest.approx(56)
    ramp = response.ramps["forward"]
    assert (ramp.speed, ramp.rise, ramp.fall) == pytest.approx((56, 32, 42))
    assert (response.curves["forward"].bottom, response.curves["forward"].top) == (20, 80)
    assert response.curves["left"].full is None and response.curves["left"].top == 45
    assert response.missing["turn in time"][0] == "turn_speed_min"
    assert at_dial(SHEET, "turn_speed", 100) == 45 and at_dial(SHEET, "turn_speed", 0) is None


def test_corners_are_where_the_command_bends() -> None:
    curve = response_of(SHEET).curves["forward"]
    assert curve.corners() == [(0, 0), (0.1, 0), (0.6, 1), (1, 1)]
    slow = response_of(SHEET | {"throw_forward": 50.0, "deadband": 0.0}, definition=OTHER).curves["forward"]
    assert slow.corners() == [(0, 0), (1, 0.5)]


def test_throw_and_deadband_change_the_gain_near_the_centre_too() -> None:
    # Derived: 1 / (T - d) is 2.0 at (0.10, 0.60), 2.5 at (0.10, 0.50) and 2.5 at (0.20, 0.60).
    changes: list[dict[str, float]] = [{}, {"throw_forward": 50.0}, {"deadband": 20.0}]
    gains = [response_of(SHEET | change).curves["forward"].gain for change in changes]
    assert gains == pytest.approx([2.0, 2.5, 2.5])
    assert response_of(SHEET).curves["forward"].felt_gain == pytest.approx(160)


def test_a_sheet_that_breaks_the_rule_is_refused() -> None:
    with pytest.raises(EntryError, match="the throw must be above the deadband"):
        response_of({"deadband": 70.0, "throw_left": 60.0})
    with pytest.raises(EntryError, match="The speed dial is 120%"):
        response_of(SHEET, dial_percent=120)


def test_a_chair_that_does_not_move_has_no_step() -> None:
    response = response_of(SHEET | {"forward_speed_max": 0.0, "forward_speed_min": 0.0})
    assert "forward" not in response.ramps
    assert response.missing["forward in time"] == ("forward_speed_min", "forward_speed_max")
