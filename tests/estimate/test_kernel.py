"""The batched kernel against a plain statsmodels GLS at every grid point, with V written out in full."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm

from rampbook.estimators.grid import Grid, grid_for
from rampbook.estimators.kernel import Floats, fit_effect, fit_grid
from rampbook.estimators.marginal import estimate_effect, fit_model
from rampbook.estimators.model import Model, build_model
from rampbook.estimators.simulate import fit_shared_design
from rampbook.series.practices import PracticeSeries, Summaries
from rampbook.units import KINDS

TOLERANCE = 1e-8
COVARIATES = ("battery", "fatigue")


def explicit_covariance(gaps: Floats, noise: Floats, rho: float, h: float) -> Floats:
    """V = (1 - h) R + h diag(D), every cell written out; a negative rho alternates in sign by practice."""
    clock = np.cumsum(gaps)
    n = gaps.size
    correlation = np.empty((n, n))
    for i in range(n):
        for j in range(n):
            sign = -1.0 if rho < 0 and (i - j) % 2 else 1.0
            correlation[i, j] = sign * abs(rho) ** abs(clock[i] - clock[j]) if i != j else 1.0
    return (1 - h) * correlation + h * np.diag(noise)


def plain_grid(model: Model, grid: Grid) -> tuple[Floats, Floats, Floats]:
    """Coefficients, standard errors and restricted-likelihood weights from statsmodels, one grid point at a time."""
    n, p = model.design.shape
    beta, se, log_weight = np.empty((grid.size, p)), np.empty((grid.size, p)), np.empty(grid.size)
    for g in range(grid.size):
        covariance = explicit_covariance(model.gaps, model.noise, grid.rho[g], grid.h[g])
        fit: Any = sm.GLS(model.response, model.design, sigma=covariance).fit()
        beta[g], se[g] = fit.params, fit.bse
        information = model.design.T @ np.linalg.inv(covariance) @ model.design
        log_weight[g] = -0.5 * (
            np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(information)[1] + (n - p) * np.log(fit.ssr)
        )
    weight = np.exp(log_weight - log_weight.max())
    return beta, se, weight / weight.sum()


def summaries(kind: str, n: int, rng: np.random.Generator) -> Summaries:
    """Practice summaries of every kind, with enough spread that the working response has a finite answer."""
    if kind == "time":
        return Summaries(value=np.log(30) + 0.1 * rng.normal(size=n), size=rng.integers(2, 8, n).astype(float))
    if kind == "rating":
        return Summaries(value=rng.uniform(3, 9, n), size=rng.integers(1, 4, n).astype(float))
    if kind == "count":
        exposure = rng.uniform(20, 60, n)
        return Summaries(value=rng.poisson(0.15 * exposure).astype(float), size=exposure)
    tries = rng.integers(8, 15, n).astype(float)
    return Summaries(value=rng.binomial(tries.astype(int), 0.6).astype(float), size=tries)


def irregular_series(kind: str, n: int = 18, *, seed: int = 4, control: bool = False) -> PracticeSeries:
    """A series with holidays, uneven attempts and two covariates."""
    rng = np.random.default_rng(seed)
    return PracticeSeries(
        kind=KINDS[kind],
        labels=tuple(str(i) for i in range(n)),
        dates=(None,) * n,
        elapsed=np.cumsum(rng.choice([2.0, 3.0, 5.0, 7.0, 21.0], n)),
        phase=np.repeat([0, 1, 0, 1], [6, 5, 3, n - 14]).astype(np.int64),
        main=summaries(kind, n, rng),
        control=summaries(kind, n, rng) if control else None,
        covariates=rng.normal(size=(n, 2)),
        covariate_names=COVARIATES,
        attempt_value=np.empty(0),
        attempt_practice=np.empty(0, dtype=np.int64),
        attempt_finished=np.empty(0, dtype=bool),
        n_missing=0,
    )


@pytest.mark.parametrize("control", [False, True])
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_equals_a_plain_gls_grid(kind: str, control: bool) -> None:
    model = build_model(irregular_series(kind, control=control), trend=True)
    grid = grid_for(kind)
    assert grid.rho.min() < 0 and not model.half_counts
    beta, se, weight = plain_grid(model, grid)
    fit = fit_model(model, grid)
    np.testing.assert_allclose(fit.beta[0], beta, rtol=TOLERANCE, atol=TOLERANCE)
    np.testing.assert_allclose(fit.weight[0], weight, rtol=0, atol=TOLERANCE)
    for column in range(len(model.names)):
        np.testing.assert_allclose(fit.standard_error(column)[0], se[:, column], rtol=TOLERANCE)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_effect_is_the_weighted_mean_of_the_plain_grid(kind: str) -> None:
    model = build_model(irregular_series(kind), trend=True)
    beta, _, weight = plain_grid(model, grid_for(kind))
    estimate = estimate_effect(model, kind, confidence=0.95)
    assert estimate.effect == pytest.approx(float(weight @ beta[:, model.effect]), abs=TOLERANCE)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_batch_equals_each_series_alone(kind: str) -> None:
    models = [build_model(irregular_series(kind, seed=seed), trend=True) for seed in range(5)]
    grid = grid_for(kind)
    batch = fit_grid(
        np.stack([m.response for m in models]), np.stack([m.design for m in models]),
        np.stack([m.gaps for m in models]), np.stack([m.noise for m in models]), grid,
    )
    for s, model in enumerate(models):
        alone = fit_model(model, grid)
        np.testing.assert_allclose(batch.beta[s], alone.beta[0], rtol=TOLERANCE, atol=TOLERANCE)
        np.testing.assert_allclose(batch.weight[s], alone.weight[0], rtol=0, atol=TOLERANCE)
        np.testing.assert_allclose(batch.sigma2[s], alone.sigma2[0], rtol=TOLERANCE)


@pytest.mark.parametrize("kind", ["time", "count"])
def test_many_responses_of_one_design_equal_the_kernel(kind: str) -> None:
    model = build_model(irregular_series(kind), trend=True)
    grid = grid_for(kind)
    responses = np.random.default_rng(8).normal(size=(7, model.response.size))
    beta, se, weight, df = fit_shared_design(responses, model.design, model.gaps, model.noise, grid, model.effect)
    shape = (7, *model.design.shape)
    fit = fit_grid(
        responses, np.broadcast_to(model.design, shape), np.broadcast_to(model.gaps, shape[:2]),
        np.broadcast_to(model.noise, shape[:2]), grid,
    )
    assert df == fit.df
    np.testing.assert_allclose(beta, fit.beta[..., model.effect], rtol=TOLERANCE, atol=TOLERANCE)
    np.testing.assert_allclose(se, fit.standard_error(model.effect), rtol=TOLERANCE)
    np.testing.assert_allclose(weight, fit.weight, rtol=0, atol=TOLERANCE)


@pytest.mark.parametrize("control", [False, True])
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_fast_path_of_the_effect_equals_a_plain_gls_grid(kind: str, control: bool) -> None:
    """Several series at once, each with days, attempts and covariates of its own, against statsmodels one by one."""
    models = [build_model(irregular_series(kind, seed=seed, control=control), trend=True) for seed in range(4)]
    grid = grid_for(kind)
    response, design, gaps, noise = (
        np.stack([getattr(m, part) for m in models]) for part in ("response", "design", "gaps", "noise")
    )
    fit = fit_effect(response, design, gaps, noise, grid)
    for s, model in enumerate(models):
        beta, se, weight = plain_grid(model, grid)
        np.testing.assert_allclose(fit.beta[s], beta[:, -1], rtol=TOLERANCE, atol=TOLERANCE)
        np.testing.assert_allclose(fit.se[s], se[:, -1], rtol=TOLERANCE)
        np.testing.assert_allclose(fit.weight[s], weight, rtol=0, atol=TOLERANCE)


def test_a_level_far_from_nought_costs_no_digits() -> None:
    model = build_model(irregular_series("time"), trend=True)
    grid = grid_for("time")
    parts = (model.design[None], model.gaps[None], model.noise[None], grid)
    near, far = (fit_effect(model.response[None] + shift, *parts) for shift in (0.0, 1e4))
    np.testing.assert_allclose(far.beta, near.beta, rtol=0, atol=1e-9)
    np.testing.assert_allclose(far.weight, near.weight, rtol=0, atol=1e-8)


def test_long_series_stay_exact() -> None:
    """Rounding must not grow along 300 steps of the filter."""
    rng = np.random.default_rng(2)
    n = 300
    design = np.column_stack([np.ones(n), np.arange(n) - (n - 1) / 2, np.arange(n) >= 170]).astype(float)
    grid = Grid(rho=np.array([-0.4, 0.95, 0.95]), h=np.array([0.25, 0.0, 0.75]))
    gaps, noise, y = rng.uniform(0.2, 4, n), rng.uniform(0.3, 3, n), rng.normal(size=n).cumsum()
    fit = fit_grid(y[None], design[None], gaps[None], noise[None], grid)
    for g in range(grid.size):
        plain: Any = sm.GLS(y, design, sigma=explicit_covariance(gaps, noise, grid.rho[g], grid.h[g])).fit()
        np.testing.assert_allclose(fit.beta[0, g], plain.params, rtol=TOLERANCE, atol=TOLERANCE)
        assert fit.standard_error(2)[0, g] == pytest.approx(plain.bse[2], rel=TOLERANCE)
