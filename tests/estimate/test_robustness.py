"""Leaving a practice out, and false dates, against really fitting again."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm

from rampbook.estimators.grid import Grid, grid_for
from rampbook.estimators.kernel import Floats, fit_grid
from rampbook.estimators.marginal import Estimate, estimate_effect, fit_model
from rampbook.estimators.model import Model
from rampbook.estimators.robustness import leave_one_out, placebo_effects, without_one


def a_model(n: int = 14, *, seed: int = 5, before: int = 7) -> Model:
    rng = np.random.default_rng(seed)
    phase = (np.arange(n) >= before).astype(float)
    design = np.column_stack([np.ones(n), np.arange(n) - (n - 1) / 2, rng.normal(size=n), phase])
    response = 3 + 0.1 * rng.normal(size=n).cumsum()
    return Model(
        response=response, design=design, names=("level", "trend", "battery", "effect"),
        gaps=rng.uniform(0.3, 3, n), noise=rng.uniform(0.4, 2.5, n), half_counts=False, main_response=response,
    )


def estimate_of(model: Model) -> Estimate:
    return estimate_effect(model, "time", confidence=0.95)


def refit_without(model: Model, left_out: int, grid: Grid) -> float:
    """The effect from explicit matrices whose row and column of the practice are gone."""
    keep = np.arange(model.response.size) != left_out
    y, x, clock = model.response[keep], model.design[keep], np.cumsum(model.gaps)
    effects, log_weight = np.empty(grid.size), np.empty(grid.size)
    order = np.arange(clock.size)
    for g in range(grid.size):
        sign = np.where((grid.rho[g] < 0) & ((order[:, None] - order) % 2 == 1), -1.0, 1.0)
        distance = np.abs(clock[:, None] - clock)
        correlation = np.where(distance == 0, 1.0, sign * np.abs(grid.rho[g]) ** distance)
        covariance = ((1 - grid.h[g]) * correlation + grid.h[g] * np.diag(model.noise))[np.ix_(keep, keep)]
        fit: Any = sm.GLS(y, x, sigma=covariance).fit()
        effects[g] = fit.params[model.effect]
        information = x.T @ np.linalg.inv(covariance) @ x
        log_weight[g] = -0.5 * (
            np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(information)[1] + fit.df_resid * np.log(fit.ssr)
        )
    weight = np.exp(log_weight - log_weight.max())
    return float(weight @ effects / weight.sum())


def test_leaving_out_equals_fitting_again_without_that_practice() -> None:
    model = a_model()
    estimate = estimate_of(model)
    again = [refit_without(model, i, estimate.grid) for i in range(model.response.size)]
    np.testing.assert_allclose(leave_one_out(model, estimate), again, atol=1e-8)


def test_leaving_out_equals_the_kernel_with_the_two_gaps_merged() -> None:
    """For correlations that are not negative, the clock that keeps running is one longer gap."""
    model = a_model(seed=9)
    whole = grid_for("time")
    positive = Grid(rho=whole.rho[whole.rho >= 0], h=whole.h[whole.rho >= 0])
    got = leave_one_out(model, replace(estimate_of(model), grid=positive))
    for i in range(model.response.size):
        keep = np.arange(model.response.size) != i
        gaps = model.gaps.copy()
        if i + 1 < gaps.size:
            gaps[i + 1] += gaps[i]
        fit = fit_grid(
            model.response[None, keep], model.design[None, keep], gaps[None, keep], model.noise[None, keep], positive
        )
        assert got[i] == pytest.approx(float(np.sum(fit.weight[0] * fit.beta[0, :, model.effect])), abs=1e-8)


def flat_but_one(n: int, odd: int, *, before: int) -> Model:
    response = np.full(n, 5.0)
    response[odd] = 8.0
    plain = a_model(n, before=before)
    return replace(plain, response=response, design=plain.design[:, [0, 1, 3]], names=("level", "trend", "effect"))


def test_leaving_out_the_only_practice_that_differs_leaves_no_effect() -> None:
    """Ratings of 5 with one 8: without the 8 the rest is exact, and the effect is nothing, not missing."""
    model = flat_but_one(12, 4, before=6)
    effects = leave_one_out(model, estimate_of(model))
    assert np.all(np.isfinite(effects))
    assert effects[4] == pytest.approx(0.0, abs=1e-6)
    assert np.abs(np.delete(effects, 4)).min() > 1e-3


def test_a_practice_that_alone_carries_a_coefficient_cannot_be_left_out() -> None:
    model = a_model()
    lone = np.zeros(model.response.size)
    lone[3] = 1.0
    carried = replace(model, design=np.column_stack([model.design[:, :2], lone, model.design[:, 3]]))
    effects = leave_one_out(carried, estimate_of(carried))
    assert np.isnan(effects[3])
    assert np.all(np.isfinite(np.delete(effects, 3)))


def test_too_few_practices_to_leave_one_out_give_none() -> None:
    model = a_model(6, before=3)
    assert np.all(np.isnan(leave_one_out(model, estimate_of(model))))


def phase_of(model: Model) -> Floats:
    return np.asarray(model.design[:, model.effect])


def test_false_dates_keep_three_practices_on_either_side() -> None:
    model = a_model(24, before=12)
    assert placebo_effects(model, phase_of(model), "time").size == 12 - 3 - 3 + 1


def test_false_dates_see_only_what_came_before_the_change() -> None:
    model = a_model(24, before=12)
    after = replace(model, response=model.response + 4.0 * phase_of(model))
    np.testing.assert_array_equal(
        placebo_effects(model, phase_of(model), "time"), placebo_effects(after, phase_of(model), "time")
    )


def test_a_step_before_the_change_is_found_at_its_date() -> None:
    model = a_model(24, before=12)
    early = replace(model, response=model.response + np.where(np.arange(24) < 6, 0.0, 3.0))
    effects = placebo_effects(early, phase_of(model), "time")
    assert int(np.argmax(effects)) == 6 - 3
    assert effects.max() == pytest.approx(3.0, abs=0.5)


def test_false_dates_in_a_flat_stretch_have_no_effect() -> None:
    model = flat_but_one(24, 20, before=12)
    effects = placebo_effects(model, phase_of(model), "time")
    np.testing.assert_allclose(effects, 0.0, atol=1e-10)


def test_four_practices_before_leave_no_false_date() -> None:
    model = a_model(14, before=4)
    assert placebo_effects(model, phase_of(model), "time").size == 0


def test_the_interval_without_a_practice_is_the_one_with_a_coefficient_for_it() -> None:
    """A practice with a coefficient of its own says nothing of the others: the same interval must come out."""
    model = a_model(16, seed=12, before=8)
    left = without_one(model, estimate_of(model))
    assert left is not None
    for i in range(16):
        own = np.zeros((16, 1))
        own[i] = 1.0
        apart = replace(model, design=np.hstack([model.design, own]), names=(*model.names, "own"))
        fit = fit_model(apart, grid_for("time"))
        np.testing.assert_allclose(left.beta[i], fit.beta[0, :, model.effect], atol=1e-8)
        np.testing.assert_allclose(left.se[i], fit.standard_error(model.effect)[0], rtol=1e-6)
        np.testing.assert_allclose(left.weight[i], fit.weight[0], atol=1e-8)
        assert left.df == fit.df


def test_an_interval_leaves_out_what_is_beyond_its_end_only() -> None:
    model = a_model(16, seed=12, before=8)
    estimate = estimate_of(model)
    left = without_one(model, estimate)
    assert left is not None
    reach = left.se.max() * 30
    assert left.leaves_out(float(left.effects.max()) + reach).all()
    assert not left.leaves_out(float(np.median(left.effects))).any()


def test_without_a_practice_the_interval_is_the_one_of_a_refit() -> None:
    """The end of a refit's interval is left out just beyond it: stretch, weights and all."""
    model = a_model(16, seed=12, before=8)
    left = without_one(model, estimate_of(model))
    assert left is not None
    for i in (0, 7, 8, 15):
        own = np.zeros((16, 1))
        own[i] = 1.0
        names = (*model.names[:-1], "own", model.names[-1])
        design = np.hstack([model.design[:, :-1], own, model.design[:, -1:]])
        alone = estimate_of(replace(model, design=design, names=names))
        width = alone.high - alone.low
        # The stretch asks for the number of practices: one less here than the refit with a coefficient of its own has.
        for end, outward in ((alone.low, -1.0), (alone.high, 1.0)):
            assert left.leaves_out(end + outward * 0.02 * width)[i]
            assert not left.leaves_out(end - outward * 0.02 * width)[i]

