"""The working response carries a Poisson or binomial fit: weighted least squares on it gives the same answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm

from rampbook.errors import DesignError
from rampbook.estimators.grid import Grid
from rampbook.estimators.kernel import Floats
from rampbook.estimators.marginal import fit_model
from rampbook.estimators.model import build_model
from rampbook.estimators.working import half_count_response
from rampbook.series.practices import PracticeSeries, Summaries
from rampbook.units import KINDS

ALL_NOISE = Grid(rho=np.array([0.0]), h=np.array([1.0]))


def series_of(
    kind: str, value: Floats, size: Floats, phase: Floats, covariates: Floats | None = None
) -> PracticeSeries:
    n = value.size
    extra = np.empty((n, 0)) if covariates is None else covariates
    return PracticeSeries(
        kind=KINDS[kind], labels=tuple(map(str, range(n))), dates=tuple[date | None, ...]([None] * n),
        elapsed=np.arange(n, dtype=float), phase=phase.astype(np.int64), main=Summaries(value=value, size=size),
        control=None, covariates=extra, covariate_names=tuple(f"c{j}" for j in range(extra.shape[1])),
        attempt_value=np.empty(0), attempt_practice=np.empty(0, dtype=np.int64),
        attempt_finished=np.empty(0, dtype=bool), n_missing=0,
    )


@pytest.mark.parametrize("trend", [True, False])
def test_counts_at_pure_noise_are_the_poisson_regression(trend: bool) -> None:
    rng = np.random.default_rng(3)
    exposure = rng.uniform(10, 80, 20)
    phase = np.repeat([0.0, 1.0], 10)
    count = rng.poisson(exposure * 0.12 * np.exp(-0.4 * phase)).astype(float)
    model = build_model(series_of("count", count, exposure, phase, rng.normal(size=(20, 1))), trend=trend)
    fit = fit_model(model, ALL_NOISE)
    glm: Any = sm.GLM(count, model.design, family=sm.families.Poisson(), exposure=exposure).fit(tol=1e-12)
    np.testing.assert_allclose(fit.beta[0, 0], glm.params, atol=1e-8)
    # Noise is scaled to median 1, so the standard error is the one of the quasi-Poisson fit.
    quasi: Any = sm.GLM(count, model.design, family=sm.families.Poisson(), exposure=exposure).fit(scale="X2", tol=1e-12)
    assert fit.standard_error(model.effect)[0, 0] == pytest.approx(quasi.bse[model.effect], rel=1e-7)


@pytest.mark.parametrize("trend", [True, False])
def test_successes_at_pure_noise_are_the_binomial_regression(trend: bool) -> None:
    rng = np.random.default_rng(6)
    tries = rng.integers(6, 15, 22).astype(float)
    phase = np.repeat([0.0, 1.0], 11)
    hits = rng.binomial(tries.astype(int), 1 / (1 + np.exp(-0.3 - 0.7 * phase))).astype(float)
    model = build_model(series_of("success", hits, tries, phase), trend=trend)
    fit = fit_model(model, ALL_NOISE)
    both = np.column_stack([hits, tries - hits])
    glm: Any = sm.GLM(both, model.design, family=sm.families.Binomial()).fit(tol=1e-12)
    np.testing.assert_allclose(fit.beta[0, 0], glm.params, atol=1e-8)
    # statsmodels' scale="X2" forgets the number of tries (0.15), so the quasi-binomial scale is worked out here.
    share = glm.fittedvalues
    pearson = np.sum((hits - tries * share) ** 2 / (tries * share * (1 - share))) / fit.df
    assert fit.standard_error(model.effect)[0, 0] == pytest.approx(
        glm.bse[model.effect] * np.sqrt(pearson), rel=1e-7
    )


def test_a_phase_of_zeros_falls_back_on_half_counts() -> None:
    phase = np.repeat([0.0, 1.0], 8)
    count = np.where(phase == 0, np.arange(16) % 3 + 1.0, 0.0)
    model = build_model(series_of("count", count, np.full(16, 30.0), phase), trend=False)
    assert model.half_counts
    np.testing.assert_allclose(model.response, np.log((count + 0.5) / 30.0))
    np.testing.assert_allclose(model.noise, (1 / (count + 0.5)) / np.median(1 / (count + 0.5)))


def test_a_phase_of_nothing_but_hits_falls_back_on_empirical_logits() -> None:
    phase = np.repeat([0.0, 1.0], 8)
    tries = np.full(16, 10.0)
    hits = np.where(phase == 1, 10.0, 4.0 + np.arange(16) % 4)
    model = build_model(series_of("success", hits, tries, phase), trend=False)
    assert model.half_counts
    np.testing.assert_allclose(model.response, np.log((hits + 0.5) / (tries - hits + 0.5)))


def test_half_counts_pull_toward_no_effect() -> None:
    count, size = np.array([2.0, 8.0]), np.array([10.0, 10.0])
    half, _ = half_count_response("count", count, size)
    assert 0 < half[1] - half[0] < np.log(8 / 2)


def test_an_untouched_series_is_taken_away_with_its_noise() -> None:
    rng = np.random.default_rng(1)
    phase = np.repeat([0.0, 1.0], 6)
    plain = series_of("time", rng.normal(3, 0.1, 12), np.full(12, 4.0), phase)
    other = Summaries(value=rng.normal(3, 0.1, 12), size=np.tile([2.0, 8.0], 6))
    model = build_model(replace(plain, control=other), trend=True)
    np.testing.assert_allclose(model.response, plain.main.value - other.value)
    noise = 1 / plain.main.size + 1 / other.size
    np.testing.assert_allclose(model.noise, noise / np.median(noise))
    np.testing.assert_allclose(model.main_response, plain.main.value)


def test_a_covariate_that_repeats_the_change_is_refused_by_name() -> None:
    phase = np.repeat([0.0, 1.0], 6)
    series = series_of("time", np.linspace(3, 4, 12), np.ones(12), phase, phase[:, None])
    with pytest.raises(DesignError, match=r"level, trend, c0, effect of the 12 practices .* Leave out a covariate"):
        build_model(series, trend=True)


def test_a_constant_covariate_is_refused() -> None:
    series = series_of("time", np.linspace(3, 4, 12), np.ones(12), np.repeat([0.0, 1.0], 6), np.full((12, 1), 7.0))
    with pytest.raises(DesignError, match="c0"):
        build_model(series, trend=True)
