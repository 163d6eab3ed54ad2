"""What makes a measured speed stale: a truth table of settings and events, and the order of a day."""

from __future__ import annotations

from datetime import date, datetime, time

import pytest

from rampbook.domain.catalogue import DEFAULT
from rampbook.domain.events import EVENTS
from rampbook.domain.staleness import EVENTS_THAT_COUNT, Moment, event_counts, is_since, setting_counts

# Common practice, no source. Base name, forward, reverse.
TRUTH = {
    "forward_speed": (True, False),
    "reverse_speed": (False, True),
    "turn_speed": (False, False),
    "acceleration": (True, True),
    "deceleration": (False, False),
    "turn_acceleration": (False, False),
    "turn_deceleration": (False, False),
    "throw_forward": (True, False),
    "throw_reverse": (False, True),
    "throw_left": (False, False),
    "throw_right": (False, False),
    "deadband": (True, True),
}
EVENT_TRUTH = {
    "new_joystick": True, "calibration": True, "seating": True, "tyres": True, "battery": True, "surface": True,
    "other": True, "illness": False, "growth": False, "timer": False,
}  # fmt: skip


@pytest.mark.parametrize("setting", list(DEFAULT.settings))
def test_every_setting_counts_in_the_directions_it_can_move(setting: str) -> None:
    base = setting.removesuffix("_max").removesuffix("_min")
    assert (setting_counts(setting, "forward"), setting_counts(setting, "reverse")) == TRUTH[base]


def test_a_setting_that_a_club_has_added_counts_both_ways() -> None:
    assert setting_counts("boost", "forward") and setting_counts("boost", "reverse")


def test_every_event_has_its_place_in_the_table() -> None:
    assert EVENT_TRUTH.keys() == EVENTS.keys()
    assert {event: event_counts(event) for event in EVENTS} == EVENT_TRUTH
    assert EVENTS_THAT_COUNT.keys() <= EVENTS.keys()
    assert event_counts("something_new")


def moment(on: int, at: int | None = None, logged: int = 0) -> Moment:
    return Moment(
        on=date(2026, 11, on), at=None if at is None else time(at), logged_at=datetime(2026, 11, 20, 12, logged)
    )


MEASURED_AT_TEN = moment(10, at=10, logged=5)


@pytest.mark.parametrize(
    ("happened", "since"),
    [
        (moment(9, logged=59), False),
        (moment(11, logged=0), True),
        (moment(10, at=9, logged=59), False),
        (moment(10, at=11, logged=0), True),
        (moment(10, at=10, logged=0), True),
        (moment(10, logged=4), False),
        (moment(10, logged=6), True),
        (moment(10, logged=5), True),
    ],
    ids=[
        "the day before", "the day after", "earlier that day", "later that day", "the same minute",
        "no time, logged before", "no time, logged after", "no time, of one load",
    ],
)  # fmt: skip
def test_what_comes_after_a_measurement(happened: Moment, since: bool) -> None:
    assert is_since(happened, MEASURED_AT_TEN) is since
