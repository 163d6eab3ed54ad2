"""A measurement held against the limit: as read by the published gate, with the timing error beside it."""

from __future__ import annotations

import re

import pytest

from rampbook.domain.speed import DIRECTIONS, METHODS, POWERCHAIR_FOOTBALL, PRACTICE, SpeedLimit, judge, limit_of
from rampbook.errors import EntryError

GATE = {"gate_m": 19.5}


@pytest.mark.parametrize("method", list(METHODS))
def test_the_published_gate_passes_and_a_shorter_time_does_not(method: str) -> None:
    # FIPFA, Laws of the Game 2020 and its page on the chairs: 10 km/h, 7 s over 19.5 m; 6.80 s is 10.32 km/h.
    at = judge(POWERCHAIR_FOOTBALL, method, gate_m=19.5, seconds=7.0)
    assert at.kmh == pytest.approx(10.029, abs=5e-4)
    assert (at.result, at.margin_kmh, at.tells) == ("passes", 0.0, "cannot tell within the timing error")
    over = judge(POWERCHAIR_FOOTBALL, method, gate_m=19.5, seconds=6.80)
    assert over.kmh == pytest.approx(10.32, abs=5e-3)
    assert (over.result, over.tells) == ("does not pass", "clear")


@pytest.mark.parametrize(
    ("seconds", "result", "tells"),
    [
        (7.20, "passes", "clear"),
        (7.10, "passes", "cannot tell within the timing error"),
        (7.02, "passes", "cannot tell within the timing error"),
        (6.99, "does not pass", "cannot tell within the timing error"),
        (6.87, "does not pass", "cannot tell within the timing error"),
        (6.86, "does not pass", "clear"),
    ],
)
def test_both_sides_of_the_limit_by_stopwatch(seconds: float, result: str, tells: str) -> None:
    # The error is 1.96 x 0.07 s = 0.137 s: Mayhew and others 2010, J Strength Cond Res 24:447.
    found = judge(POWERCHAIR_FOOTBALL, "stopwatch", gate_m=19.5, seconds=seconds)
    assert (found.result, found.tells) == (result, tells)
    assert found.error_s == pytest.approx(1.96 * 0.07)


def test_one_spread_of_a_hand_is_a_tenth_of_a_kilometre_an_hour_at_the_limit() -> None:
    # Arithmetic: 0.07 s on 7.02 s is 0.10 km/h.
    spread = METHODS["stopwatch"].spread_s
    high, low = (19.5 / (7.02 + sign * spread) * 3.6 for sign in (-1, 1))
    assert (high - low) / 2 == pytest.approx(0.10, abs=5e-3)


def test_rollers_are_held_against_the_same_line_never_a_bare_ten() -> None:
    assert judge(POWERCHAIR_FOOTBALL, "rollers", read_kmh=10.02).passes
    assert not judge(POWERCHAIR_FOOTBALL, "rollers", read_kmh=10.04).passes


def test_every_method_names_its_source_or_says_that_there_is_none() -> None:
    for method in METHODS.values():
        assert method.source == PRACTICE or re.search(r"(19|20)\d\d", method.source)
    assert set(DIRECTIONS) == {"forward", "reverse"}


def test_a_time_no_longer_than_its_error_has_no_upper_end_and_cannot_pass_clearly() -> None:
    found = judge(POWERCHAIR_FOOTBALL, "stopwatch", gate_m=0.1, seconds=0.1)
    assert (found.high, found.margin_low, found.passes, found.clear) == (None, None, True, False)


def test_a_club_may_play_under_another_limit() -> None:
    assert limit_of(10) is POWERCHAIR_FOOTBALL
    assert limit_of(8) == SpeedLimit(kmh=8)
    assert judge(limit_of(8), "gates", gate_m=20, seconds=9).passes  # exactly 8 km/h
    assert not judge(limit_of(8), "gates", gate_m=20, seconds=8.99).passes
    # From memory: a sibling sport allows 15 km/h; its gate here is invented.
    assert limit_of(15, 20, 4.8).gate_kmh == pytest.approx(15)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ((10, 19.5, 6.0), r"The gate 19\.5 m in 6 s is 11\.70 km/h, not 10"),
        ((10, 19.5, None), "both its metres and its seconds"),
        ((0, None, None), "The limit is 0: it must be a number above 0"),
        ((float("nan"), None, None), "The limit is nan"),
    ],
)
def test_a_limit_that_cannot_be_is_refused(given: tuple[float, float | None, float | None], said: str) -> None:
    with pytest.raises(EntryError, match=said):
        limit_of(*given)


@pytest.mark.parametrize(
    "given",
    [{"gate_m": 19.5}, {"seconds": 7.0}, {}, {"gate_m": 19.5, "seconds": 7.0, "read_kmh": 10.0}],
)
def test_half_a_measurement_or_two_are_refused(given: dict[str, float]) -> None:
    with pytest.raises(EntryError, match="Give the gate's metres and the seconds, or the speed"):
        judge(POWERCHAIR_FOOTBALL, "gates", **given)
