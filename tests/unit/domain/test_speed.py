"""The published limit (FIPFA Laws of the Game, August 2020): 10 km/h, also stated as 7 s over 19.5 m."""

from __future__ import annotations

import math

import pytest

from rampbook.domain.speed import POWERCHAIR_FOOTBALL, speed_kmh, stopping_distance_m
from rampbook.errors import EntryError


def test_the_published_gate_passes_although_it_computes_above_ten() -> None:
    assert speed_kmh(19.5, 7.00) == pytest.approx(10.029, abs=5e-4)
    assert POWERCHAIR_FOOTBALL.gate_kmh > POWERCHAIR_FOOTBALL.kmh
    assert POWERCHAIR_FOOTBALL.passes(19.5, 7.00)


def test_a_faster_passage_does_not_pass() -> None:
    assert speed_kmh(19.5, 6.80) == pytest.approx(10.32, abs=5e-3)
    assert not POWERCHAIR_FOOTBALL.passes(19.5, 6.80)
    assert not POWERCHAIR_FOOTBALL.passes(19.5, 6.99)


def test_a_shorter_gate_is_judged_by_the_same_speed() -> None:
    assert POWERCHAIR_FOOTBALL.passes(9.75, 3.50)
    assert not POWERCHAIR_FOOTBALL.passes(9.75, 3.40)


@pytest.mark.parametrize(
    ("distance_m", "seconds"), [(5, 1.8), (10, 3.6), (15, 5.4), (19.5, 7.02), (20, 7.2), (25, 9.0)]
)
def test_least_time_at_ten_kmh(distance_m: float, seconds: float) -> None:
    # Arithmetic: distance / (10 / 3.6).
    assert speed_kmh(distance_m, seconds) == pytest.approx(10)


@pytest.mark.parametrize(("deceleration", "metres"), [(1, 3.858), (1.5, 2.572), (2, 1.929), (3, 1.286)])
def test_stopping_distance_from_ten_kmh(deceleration: float, metres: float) -> None:
    # Arithmetic: v**2 / (2 a), v = 10 / 3.6 m/s; 0.3 s of reaction adds 0.833 m.
    assert stopping_distance_m(10 / 3.6, deceleration) == pytest.approx(metres, abs=5e-4)
    assert stopping_distance_m(10 / 3.6, deceleration, 0.3) == pytest.approx(metres + 0.833, abs=1e-3)


def test_impossible_measurements_are_refused() -> None:
    for value in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(EntryError, match=r"seconds is .* it must be a number above 0"):
            speed_kmh(19.5, value)
    with pytest.raises(EntryError, match="deceleration is 0"):
        stopping_distance_m(2.8, 0)
