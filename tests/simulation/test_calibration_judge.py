"""The bars of the calibration study, on answers that are made up to keep or to break them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ndtri

from analyses.calibration.judge import ALPHA, Answers, Measured, measure, median_error, misses, share_error

GOOD = Measured(
    reps=2000, false_positives=0.05, coverage_null=0.95, coverage_effect=0.95, median_bias=0.01, bias_error=0.01,
    power=0.5, refused_null=0.0, refused_effect=0.0,
)  # fmt: skip


def perfect(truth: float, *, seed: int, n: int = 20_000) -> Answers:
    """Estimates of unit error with intervals that know it."""
    effect = truth + np.random.default_rng(seed).normal(size=n)
    reach = -ndtri(ALPHA / 2)
    called = np.abs(effect) > reach
    return Answers(
        effect=effect, low=effect - reach, high=effect + reach, called=called, refused=np.zeros(n, dtype=bool)
    )


def without(answers: Answers, refused: int) -> Answers:
    """The first series refused."""
    gone = np.arange(answers.refused.size) < refused
    return Answers(
        effect=np.where(gone, np.nan, answers.effect), low=np.where(gone, np.nan, answers.low),
        high=np.where(gone, np.nan, answers.high), called=answers.called & ~gone, refused=gone,
    )  # fmt: skip


def test_a_perfect_estimator_is_measured_as_one() -> None:
    found = measure(perfect(0.0, seed=1), perfect(-2.0, seed=2), -2.0)
    assert found.false_positives == pytest.approx(0.05, abs=0.006)
    assert found.coverage_null == pytest.approx(0.95, abs=0.006)
    assert found.coverage_effect == pytest.approx(0.95, abs=0.006)
    assert found.power == pytest.approx(0.516, abs=0.015)
    assert abs(found.median_bias) < 4 * found.bias_error
    assert found.bias_error == pytest.approx(1.2533 / 2 / np.sqrt(20_000), rel=0.2)
    assert misses(found, 0.52) == ()


def test_bias_below_nothing_means_pulled_toward_no_effect() -> None:
    for truth in (-2.0, 2.0):
        pulled = perfect(0.8 * truth, seed=3)
        assert measure(pulled, pulled, truth).median_bias == pytest.approx(-0.2, abs=0.03)


def test_a_refused_series_is_not_called_and_counts_as_kept() -> None:
    nothing, something = without(perfect(0.0, seed=1), 5_000), without(perfect(-2.0, seed=2), 10_000)
    found = measure(nothing, something, -2.0)
    assert (found.refused_null, found.refused_effect) == (0.25, 0.5)
    assert found.false_positives == pytest.approx(0.75 * 0.05, abs=0.006)
    assert found.coverage_effect == pytest.approx(0.5 + 0.5 * 0.95, abs=0.006)
    assert found.power == pytest.approx(0.516, abs=0.02)
    assert misses(found, 0.52) == ()


def test_a_cell_that_refuses_everything_breaks_nothing() -> None:
    nothing, something = (without(perfect(0.0, seed=1, n=300), 300) for _ in range(2))
    found = measure(nothing, something, 1.0)
    assert (found.false_positives, found.coverage_effect, found.refused_effect) == (0.0, 1.0, 1.0)
    assert misses(found, 0.9) == ()


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"false_positives": 0.0655}, "false positives too many"),
        ({"false_positives": 0.0195}, "false positives too few"),
        ({"coverage_effect": 0.9345}, "coverage too low"),
        ({"coverage_effect": 0.9855}, "coverage too high"),
        ({"median_bias": -0.051}, "bias"),
        ({"power": 0.475}, "power"),
    ],
)
def test_each_bar_is_broken_alone_and_forgiven_within_the_error(change: dict[str, float], name: str) -> None:
    broken = replace(GOOD, **change)  # type: ignore[arg-type]  # only shares are changed
    assert misses(GOOD, 0.6) == ()
    assert misses(broken, 0.6) == (name,)
    assert misses(broken, 0.6, errors=2.0) == ()


def test_two_errors_are_two_errors() -> None:
    edge = 0.065 + 2 * share_error(0.065, 2000)
    assert misses(replace(GOOD, false_positives=edge - 1e-6), errors=2.0) == ()
    assert misses(replace(GOOD, false_positives=edge + 1e-6), errors=2.0) == ("false positives too many",)


def test_the_error_of_a_median_is_that_of_many_medians() -> None:
    draws = np.random.default_rng(4).standard_t(5, size=(3000, 400))
    medians = np.median(draws, axis=1)
    told = np.mean([median_error(row) for row in draws[:300]])
    assert told == pytest.approx(np.std(medians), rel=0.1)


def test_moved_answers_are_called_by_their_interval() -> None:
    answers = perfect(0.0, seed=5, n=500)
    moved = answers.moved(-3.0)
    np.testing.assert_allclose(moved.effect, answers.effect - 3.0)
    np.testing.assert_array_equal(moved.called, (moved.high < 0) | (moved.low > 0))
    assert np.mean(moved.called) > 0.7
