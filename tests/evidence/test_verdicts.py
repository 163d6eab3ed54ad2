"""The verdict compares the interval with what matters; harm is said sooner than help."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from rampbook.errors import EntryError
from rampbook.evidence import worthwhile
from rampbook.evidence.assess import Options, assess
from rampbook.evidence.facts import Facts
from rampbook.evidence.finding import Finding
from rampbook.evidence.verdicts import verdict, with_touches
from rampbook.units import KINDS, Better
from tests.evidence.make_series import noisy_times, series_of


@pytest.mark.parametrize(
    ("interval", "better", "expected"),
    [
        ((-0.10, -0.15, -0.05), "lower", "better"),
        ((0.10, 0.05, 0.15), "higher", "better"),
        ((0.10, 0.05, 0.15), "lower", "worse"),
        ((0.02, 0.01, 0.08), "lower", "worse"),
        ((-0.02, -0.08, -0.01), "lower", "cannot tell yet"),
        ((-0.10, -0.25, 0.05), "lower", "cannot tell yet"),
        ((0.00, -0.02, 0.02), "lower", "no worthwhile difference"),
        ((-0.02, -0.03, -0.01), "lower", "no worthwhile difference"),
    ],
)
def test_verdict(interval: tuple[float, float, float], better: Better, expected: str) -> None:
    assert verdict(*interval, 0.05, better) == expected


@pytest.mark.parametrize(
    ("touches", "expected"),
    [
        (None, "better"),
        ((0.8, 0.6, 1.1), "better"),
        ((1.05, 0.8, 1.3), "better"),
        ((1.6, 1.2, 2.1), "traded accuracy for speed"),
        ((1.3, 0.9, 1.9), "better"),
    ],
)
def test_touches_that_rose_make_it_a_trade(
    touches: tuple[float, float, float] | None, expected: str
) -> None:
    assert with_touches("better", touches) == expected


def test_a_worthwhile_ratio_may_be_given_either_way_up() -> None:
    assert worthwhile.declared(KINDS["time"], 0.8) == pytest.approx(worthwhile.declared(KINDS["time"], 1.25))


@pytest.mark.parametrize("value", [0.05, 1.0, 12.0, -0.9])
def test_a_worthwhile_that_is_no_ratio_is_refused(value: float) -> None:
    with pytest.raises(EntryError, match="give the ratio of new to old"):
        worthwhile.declared(KINDS["time"], value)


def test_a_worthwhile_of_eleven_points_is_refused() -> None:
    with pytest.raises(EntryError, match="points above 0, up to 10"):
        worthwhile.declared(KINDS["rating"], 11)


@pytest.mark.parametrize("first", [0, 1])
def test_settings_that_take_turns_have_a_size_that_matters_from_all_practices_with_the_old_one(first: int) -> None:
    """Half their spread about their own line, worked out again here."""
    phases = [first, 1 - first] * 8
    times = noisy_times(phases, ratio=0.8)
    place = np.flatnonzero(np.array(phases) == 0)
    left = np.log(np.array(times)[place]) - np.polyval(np.polyfit(place, np.log(np.array(times)[place]), 1), place)
    result = judged(phases, times)
    assert result.worthwhile == pytest.approx(np.exp(-0.5 * np.sqrt(left @ left / 6)))
    assert result.verdict == "better"


def test_fewer_than_four_practices_with_the_old_setting_give_no_size_that_matters() -> None:
    phases = [0] * 3 + [1] * 8
    result = judged(phases, noisy_times(phases, ratio=0.8))
    assert (result.worthwhile, result.verdict) == (None, "cannot tell yet")


def judged(phases: list[int], values: list[float], facts: Facts | None = None, **columns: Any) -> Finding:
    return assess(series_of(phases, values, **columns), Options(sensitivity=False), facts or Facts())


def codes(finding: Finding) -> list[str]:
    return [warning.code for warning in finding.warnings]


@pytest.mark.parametrize("touches", [(1.3, 0.9, 1.9), (1.8, 0.75, 4.1)])
def test_faster_with_touches_that_may_have_risen_is_never_plain_better(touches: tuple[float, float, float]) -> None:
    phases = [0] * 8 + [1] * 8
    found = judged(phases, noisy_times(phases, ratio=0.8), Facts(touches=touches))
    assert found.verdict == "cannot tell yet" and "held_back" in codes(found)
    assert "touches an attempt may have risen" in found.allowed_sentence
    assert found.practices_to_settle is None


def test_a_trade_says_so_in_its_sentence() -> None:
    phases = [0] * 8 + [1] * 8
    found = judged(phases, noisy_times(phases, ratio=0.8), Facts(touches=(1.9, 1.3, 2.8)))
    assert found.verdict == "traded accuracy for speed"
    assert "But touches an attempt rose to 1.9 times the old rate" in found.allowed_sentence


def test_what_does_not_go_back_with_the_setting_is_never_better() -> None:
    phases = [0] * 12 + [1] * 6 + [0] * 6
    stayed = noisy_times([0] * 12 + [1] * 12, ratio=0.88, sd=0.01)
    found = judged(phases, stayed)
    assert found.verdict == "cannot tell yet"
    assert "it moved with the setting at only 1 of 2 changes of it" in found.allowed_sentence
    went_back = judged(phases, noisy_times(phases, ratio=0.88, sd=0.01))
    assert went_back.verdict == "better" and "held_back" not in codes(went_back)


def test_when_nobody_finishes_nothing_is_better() -> None:
    phases = [0] * 8 + [1] * 8
    found = judged(phases, noisy_times(phases, ratio=0.8), finished=[0] * 16)
    assert found.verdict == "cannot tell yet"
    assert "more than half of the attempts on one side were not finished" in found.allowed_sentence
