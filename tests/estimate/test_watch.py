"""The watch for harm: how the exact tests are widened, what a look says, and that it says it of the past alone."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.estimators.practice_spread import (
    COUNT_SPREADS,
    Spread,
    _filtered,
    count_weights,
    count_widening,
    rating_weights,
    rating_widening,
)
from rampbook.estimators.watch import (
    MOST_AFTER,
    _normal_score,
    _normal_share,
    count_looks,
    count_p,
    rating_looks,
    rating_p,
)

STEADY = [2, 3, 1, 2, 2, 3, 2, 1]
HOURS = [1.0] * 40


def covariance(n: int, spread: Spread) -> np.ndarray:
    apart = np.abs(np.subtract.outer(np.arange(n), np.arange(n)))
    return spread.dispersion * np.where(apart == 0, 1.0, spread.rho**apart if spread.rho else 0.0)


@pytest.mark.parametrize("spread", [Spread(dispersion=0.3, rho=0.6), Spread(dispersion=0.6, rho=0.0)])
def test_the_filter_equals_generalised_least_squares_written_out(spread: Spread) -> None:
    rng = np.random.default_rng(7)
    n, n_before = 13, 5
    value, noise = rng.normal(size=n), rng.uniform(0.1, 1.0, size=n)
    whole = covariance(n, spread) + np.diag(noise)
    design = np.column_stack([np.arange(n) < n_before, np.arange(n) >= n_before]).astype(float)
    inverse = np.linalg.inv(whole)
    information = design.T @ inverse @ design
    rest = value - design @ np.linalg.solve(information, design.T @ inverse @ value)
    fit = _filtered(value.tolist(), noise.tolist(), n_before, spread)
    assert fit.residual == pytest.approx(float(rest @ inverse @ rest), rel=1e-10)
    size = np.linalg.slogdet(whole)[1] + np.linalg.slogdet(information)[1]
    assert fit.log_size == pytest.approx(float(size), rel=1e-10)


def test_the_widening_of_counts_equals_the_variance_written_out() -> None:
    means, hours, n_before = np.array([2.0, 1.0, 4.0, 2.0, 3.0]), np.array([1.0, 0.5, 2.0, 1.0, 1.5]), 3
    after = np.arange(5) >= n_before
    # The difference of the two rates is that of counts after and before, each weighted by the other's exposure.
    pull = np.where(after, hours[~after].sum(), -hours[after].sum()) / hours.sum()
    poisson = float(np.sum(pull**2 * means))
    for spread, wider in zip(COUNT_SPREADS, count_widening(means.tolist(), hours.tolist(), n_before), strict=True):
        shared = (pull * means) @ covariance(5, spread) @ (pull * means)
        assert wider == pytest.approx(1 + float(shared) / poisson, rel=1e-12)


def test_shuffled_ratings_are_widened_by_what_runs_of_days_add() -> None:
    wider = rating_widening(5, 4)
    assert wider[0] == pytest.approx(1.0, rel=1e-12)
    assert wider[0] < wider[1] < wider[2]


@pytest.mark.parametrize("share", [1e-15, 1e-6, 0.03, 0.5, 0.97, 1 - 1e-12])
def test_normal_scores_equal_those_of_the_standard_library(share: float) -> None:
    assert _normal_score(share) == pytest.approx(NormalDist().inv_cdf(share), abs=1e-4 if share > 0.99 else 1e-9)
    assert _normal_share(_normal_score(share)) == pytest.approx(share, rel=1e-9)


def test_what_practices_look_like_moves_the_weights() -> None:
    means = [8.0] * 16
    calm = count_weights([8, 9, 7, 8, 8, 7, 9, 8] * 2, means, 8)
    wild = count_weights([1, 20, 3, 15, 2, 18, 4, 1] * 2, means, 8)
    assert sum(calm) == pytest.approx(1) and calm[0] > 0.6 and wild[0] < 0.001
    zigzag, runs = rating_weights([5, 7] * 8, 8), rating_weights([5, 5, 5, 5, 7, 7, 7, 7] * 2, 8)
    assert zigzag[0] > zigzag[2] and runs[2] > runs[0]


def test_a_clear_rise_alerts_and_an_unchanged_series_does_not() -> None:
    assert count_looks([*STEADY, 6, 7, 6, 8], HOURS[:12], 8).raised in (1, 2, 3)
    assert count_looks([*STEADY, *STEADY], HOURS[:16], 8).raised is None
    assert rating_looks([-7.0, -8, -7, -7, -8, -5, -4, -5, -4], 5).raised in (2, 3, 4)
    assert rating_looks([-7.0, -8, -7, -7, -8, -9, -9, -9, -9], 5).raised is None


def test_nothing_to_see_is_a_half() -> None:
    assert count_p([0] * 9, HOURS[:9], 6) == 0.5
    assert rating_p([-10.0] * 9, 6) == 0.5


def test_an_alert_eases_when_what_followed_was_no_worse() -> None:
    looks = count_looks([*STEADY, 9, 9, *[0] * 11], HOURS[:21], 8)
    assert looks.raised == 1 or looks.raised == 2
    assert looks.eased
    assert not count_looks([*STEADY, 9, 9, 8], HOURS[:11], 8).eased


def test_the_last_look_alone_is_the_last_of_all() -> None:
    counts = [*STEADY, 4, 5, 6]
    whole, last = count_looks(counts, HOURS[:11], 8), count_looks(counts, HOURS[:11], 8, last_only=True)
    assert last.p == whole.p[-1:] and last.first == 3
    ratings = [-7.0, -8, -7, -7, -5, -5]
    assert rating_looks(ratings, 4, last_only=True).p == rating_looks(ratings, 4).p[-1:]


@settings(max_examples=40, deadline=None)
@given(
    counts=st.lists(st.integers(0, 12), min_size=5, max_size=3 + MOST_AFTER),
    more=st.lists(st.integers(0, 12), min_size=1, max_size=4),
)
def test_a_look_knows_nothing_of_later_practices(counts: list[int], more: list[int]) -> None:
    longer = [*counts, *more]
    now = count_looks(counts, HOURS[: len(counts)], 3).p
    assert count_looks(longer, HOURS[: len(longer)], 3).p[: len(now)] == now


@settings(max_examples=40, deadline=None)
@given(counts=st.lists(st.integers(0, 9), min_size=5, max_size=20), unit=st.sampled_from([0.25, 30.0, 60.0]))
def test_the_unit_of_exposure_does_not_matter(counts: list[int], unit: float) -> None:
    hours = [1.0 + 0.5 * (i % 3) for i in range(len(counts))]
    there = count_p(counts, [unit * hour for hour in hours], 3)
    assert there == pytest.approx(count_p(counts, hours, 3), rel=1e-9)
