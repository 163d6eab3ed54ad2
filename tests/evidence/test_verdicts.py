"""The verdict compares the interval with what matters; harm is said sooner than help."""

from __future__ import annotations

import pytest

from rampbook.errors import EntryError
from rampbook.evidence import worthwhile
from rampbook.evidence.verdicts import verdict, with_touches
from rampbook.units import KINDS, Better


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
        ((1.3, 0.9, 1.9), "cannot tell yet"),
    ],
)
def test_faster_with_more_touches_is_never_plain_better(
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
