"""One effect: what must not change the answer, what must be refused, and the do-nothing series."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.errors import DesignError
from rampbook.estimators.grid import NOISE_SHARE, RHO, Grid, grid_for, prior_text
from rampbook.estimators.marginal import estimate_effect, line
from rampbook.estimators.model import Model
from rampbook.estimators.simulate import simulate_null

KINDS_TO_TRY = ("time", "count")


def a_model(n: int = 16, *, seed: int = 5, effect: float = 0.0) -> Model:
    rng = np.random.default_rng(seed)
    phase = np.repeat([0.0, 1.0], [n // 2, n - n // 2])
    design = np.column_stack([np.ones(n), np.arange(n) - (n - 1) / 2, phase])
    response = 3 + 0.1 * rng.normal(size=n) + effect * phase
    return Model(
        response=response, design=design, names=("level", "trend", "effect"), gaps=np.ones(n),
        noise=rng.uniform(0.5, 2, n), half_counts=False, main_response=response,
    )


shifts = st.floats(-5, 5)


@settings(max_examples=15, deadline=None)
@given(level=shifts, slope=st.floats(-0.3, 0.3), seed=st.integers(0, 10))
def test_level_and_trend_of_a_series_leave_the_effect_alone(level: float, slope: float, seed: int) -> None:
    """Adding to log times is another unit of time; a steeper trend is faster learning. Neither is the change."""
    model = a_model(seed=seed)
    moved = replace(model, response=model.response + level + slope * model.design[:, 1])
    first, second = (estimate_effect(m, "time", confidence=0.95) for m in (model, moved))
    assert (second.effect, second.low, second.high, second.p) == pytest.approx(
        (first.effect, first.low, first.high, first.p), abs=1e-8
    )


@settings(max_examples=15, deadline=None)
@given(factor=st.floats(0.01, 100), seed=st.integers(0, 10))
def test_another_unit_of_points_scales_the_effect(factor: float, seed: int) -> None:
    model = a_model(seed=seed)
    first = estimate_effect(model, "rating", confidence=0.95)
    second = estimate_effect(replace(model, response=factor * model.response), "rating", confidence=0.95)
    assert (second.effect, second.low, second.high) == pytest.approx(
        (factor * first.effect, factor * first.low, factor * first.high), rel=1e-7
    )
    assert second.p == pytest.approx(first.p, rel=1e-7)


@settings(max_examples=15, deadline=None)
@given(true=st.floats(-3, 3), seed=st.integers(0, 10))
def test_a_known_step_moves_estimate_and_interval_by_itself(true: float, seed: int) -> None:
    first = estimate_effect(a_model(seed=seed), "time", confidence=0.95)
    second = estimate_effect(a_model(seed=seed, effect=true), "time", confidence=0.95)
    assert (second.effect, second.low, second.high) == pytest.approx(
        (first.effect + true, first.low + true, first.high + true), abs=1e-8
    )


@pytest.mark.parametrize("kind", KINDS_TO_TRY)
def test_turning_the_sign_turns_the_interval(kind: str) -> None:
    model = a_model(effect=0.2)
    first = estimate_effect(model, kind, confidence=0.9)
    second = estimate_effect(replace(model, response=-model.response), kind, confidence=0.9)
    assert (second.effect, second.low, second.high, second.p) == pytest.approx(
        (-first.effect, -first.high, -first.low, first.p), abs=1e-8
    )


@pytest.mark.parametrize("kind", KINDS_TO_TRY)
@pytest.mark.parametrize("seed", range(6))
def test_p_is_below_alpha_exactly_when_the_interval_leaves_out_no_effect(kind: str, seed: int) -> None:
    model = a_model(seed=seed)
    base = estimate_effect(model, kind, confidence=0.95)
    for end in (base.low, base.high):
        for side in (-1.0, 1.0):
            moved = replace(model, response=model.response - (end + side * 1e-6) * model.design[:, 2])
            got = estimate_effect(moved, kind, confidence=0.95)
            assert (got.p < 0.05) == (got.low > 0 or got.high < 0)
            assert got.p == pytest.approx(0.05, rel=1e-3)


def test_a_higher_confidence_gives_a_wider_interval() -> None:
    model = a_model()
    widths = [np.subtract(*(lambda e: (e.high, e.low))(estimate_effect(model, "time", confidence=c)))
              for c in (0.8, 0.9, 0.95, 0.99)]
    assert np.all(np.diff(widths) > 0)


def test_the_same_series_gives_the_same_answer() -> None:
    first, second = (estimate_effect(a_model(), "time", confidence=0.95) for _ in range(2))
    assert (first.effect, first.low, first.high, first.p) == (second.effect, second.low, second.high, second.p)


def test_a_series_that_does_not_vary_is_refused() -> None:
    flat = replace(a_model(), response=np.linspace(3.0, 3.3, 16))
    with pytest.raises(DesignError, match=r"The 16 practices do not vary .* no interval can be given"):
        estimate_effect(flat, "rating", confidence=0.95)


def test_too_few_practices_are_refused_with_the_number_needed() -> None:
    with pytest.raises(DesignError, match=r"4 practices are too few for 3 coefficients .* at least 5"):
        estimate_effect(a_model(4), "time", confidence=0.95)


def test_do_nothing_series_have_the_covariance_they_claim() -> None:
    """20,000 draws at one grid point: each cell of V within five standard errors."""
    gaps, noise = np.array([1.0, 0.5, 3.0, 1.0]), np.array([1.0, 2.0, 0.5, 1.0])
    for rho in (0.6, -0.4):
        grid = Grid(rho=np.array([rho]), h=np.array([0.25]))
        drawn = simulate_null(gaps, noise, grid, 20_000)[0]
        clock = np.cumsum(gaps)
        sign = np.sign(rho) ** np.abs(np.subtract.outer(np.arange(4), np.arange(4)))
        expected = 0.75 * sign * abs(rho) ** np.abs(np.subtract.outer(clock, clock)) + 0.25 * np.diag(noise)
        se = np.sqrt((np.outer(np.diag(expected), np.diag(expected)) + expected**2) / 20_000)
        assert np.all(np.abs(drawn.T @ drawn / 20_000 - expected) < 5 * se)


def test_at_pure_noise_only_the_line_is_ordinary_least_squares() -> None:
    """With even noise and the grid at its h = 0, rho = 0 point, the fitted line is the one of OLS, interval and all."""
    model = replace(a_model(), noise=np.ones(16))
    estimate = estimate_effect(model, "time", confidence=0.95)
    point = int(np.argmin(np.abs(estimate.grid.rho) + estimate.grid.h))
    only = np.zeros(estimate.grid.size)
    rho = estimate.grid.rho[point]
    only[point] = 1.0
    pinned = replace(estimate, fit=replace(estimate.fit, weight=only[None]), stretch=1.0)
    mean, low, high = line(pinned, model.design)
    cov = rho ** np.abs(np.subtract.outer(np.arange(16), np.arange(16)))
    plain: Any = sm.GLS(model.response, model.design, sigma=cov).fit()
    np.testing.assert_allclose(mean, plain.fittedvalues, atol=1e-10)
    frame = plain.get_prediction(model.design).conf_int()
    np.testing.assert_allclose(np.column_stack([low, high]), frame, atol=1e-8)


@pytest.mark.parametrize("kind", ["time", "count", "rating", "success"])
def test_the_grid_is_flat_over_rho_and_over_the_noise_share(kind: str) -> None:
    grid = grid_for(kind)
    shares, times = np.unique(grid.h, return_counts=True)
    assert set(NOISE_SHARE) <= set(shares) and np.all(times == RHO.size)
    assert grid.rho.min() < 0 < grid.rho.max() < 1
    assert f"{shares[-1]:g}" in prior_text(kind) and f"{RHO[0]:g}" in prior_text(kind)


@pytest.mark.parametrize("seed", range(10))
def test_the_autocorrelation_lies_within_the_prior(seed: int) -> None:
    got = estimate_effect(a_model(seed=seed), "time", confidence=0.95)
    assert RHO[0] <= got.rho_low <= got.rho_mean <= got.rho_high <= RHO[-1]
