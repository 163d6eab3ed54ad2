"""The step response: closed forms of steady rates, and check values by arithmetic (each redone here)."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rampbook.domain.motion import Ramp
from rampbook.errors import EntryError

# FIPFA Laws of the Game 2020: 10 km/h.
LIMIT_M_S = 10 / 3.6


def ramp(rise: float, fall: float = 1.0, speed: float = LIMIT_M_S) -> Ramp:
    return Ramp(speed=speed, rise=rise, fall=fall)


@pytest.mark.parametrize(
    ("rise", "seconds"), [(0.5, 6.378), (1, 4.989), (1.5, 4.526), (2, 4.294), (2.5, 4.156), (3, 4.063)]
)
def test_ten_metres_from_rest(rise: float, seconds: float) -> None:
    # Derived: t = D / v + v / (2 a); half a unit of the third decimal.
    assert ramp(rise).time_over(10) == pytest.approx(seconds, abs=5e-4)
    assert ramp(rise).time_over(20) == pytest.approx(seconds + 3.600, abs=1e-3)


@pytest.mark.parametrize(("rise", "metres"), [(1, 3.86), (2, 1.93), (3, 1.29)])
def test_distance_used_to_reach_the_limit(rise: float, metres: float) -> None:
    # Derived: v**2 / (2 a).
    assert ramp(rise).distance_to_speed == pytest.approx(metres, abs=5e-3)


@pytest.mark.parametrize(("fall", "metres"), [(1, 3.858), (1.5, 2.572), (2, 1.929), (3, 1.286)])
def test_distance_to_stop_from_the_limit(fall: float, metres: float) -> None:
    # Derived: v**2 / (2 b).
    assert ramp(1, fall).stopping_distance == pytest.approx(metres, abs=5e-4)


def test_more_acceleration_brings_less_and_less() -> None:
    # Derived: from 1 to 2 m/s2 saves 0.694 s over 10 m, from 2 to 3 saves 0.231 s.
    saved = [ramp(a).time_over(10) - ramp(a + 1).time_over(10) for a in (1, 2)]
    assert saved == pytest.approx([0.694, 0.231], abs=1e-3)


RATES = st.floats(0.1, 10)


@given(speed=RATES, rise=RATES, fall=RATES, held=st.floats(0.05, 20))
def test_distance_is_the_area_under_the_speed(speed: float, rise: float, fall: float, held: float) -> None:
    one = Ramp(speed=speed, rise=rise, fall=fall)
    corners = one.corners(held=held)
    area = sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in pairwise(corners))
    end = corners[-1][0]
    assert one.distance_at(end, held=held) == pytest.approx(area, rel=1e-9)
    assert one.distance_at(end + 5, held=held) == pytest.approx(area, rel=1e-9)
    assert one.speed_at(end + 1e-6, held=held) == 0
    for time, at in corners:
        assert one.speed_at(time, held=held) == pytest.approx(at, abs=1e-9 * (1 + speed))


@given(speed=RATES, rise=RATES, distance=st.floats(0.01, 100))
def test_time_over_a_distance_is_the_way_back_from_distance_at_a_time(
    speed: float, rise: float, distance: float
) -> None:
    one = Ramp(speed=speed, rise=rise, fall=1)
    assert one.distance_at(one.time_over(distance), held=1e6) == pytest.approx(distance, rel=1e-9)


def test_a_short_push_never_reaches_the_speed() -> None:
    one = ramp(1, 2, speed=3)
    assert one.peak(1.0) == 1
    assert one.corners(held=1.0) == [(0, 0), (1, 1), (1.5, 0)]


def test_from_the_chairs_scale_to_metres() -> None:
    one = Ramp(speed=80, rise=40, fall=50).in_units(speed=0.03, rise=0.025, fall=0.04)
    assert (one.speed, one.rise, one.fall) == pytest.approx((2.4, 1.0, 2.0))
    assert one.time_to_speed == pytest.approx(2.4)


STUCK = [("speed", (0, 1, 1)), ("acceleration", (1, -1, 1)), ("deceleration", (1, 1, math.nan))]


@pytest.mark.parametrize(("name", "values"), STUCK)
def test_what_cannot_move_or_stop_is_refused(name: str, values: tuple[float, float, float]) -> None:
    with pytest.raises(EntryError, match=f"The {name} is .*: the model of the motion needs a number above 0"):
        Ramp(speed=values[0], rise=values[1], fall=values[2])
    with pytest.raises(EntryError, match="The distance is -1: it must be a number above 0"):
        ramp(1).time_over(-1)
