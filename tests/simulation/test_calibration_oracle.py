"""The oracle of the calibration study: its covariances against drawn series, and its power against its own tests."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import logit

from analyses.calibration.cells import cell_named
from analyses.calibration.linear import Floats
from analyses.calibration.oracle import known_covariance, oracle_design, oracle_power, oracle_weights
from analyses.calibration.simulate import Simulated, simulate
from analyses.calibration.truth import latent_mean, mean_rating, mean_share, practice_sd, stated_effect

CELLS = [
    "time once-16 compared rho0.6 learning break",
    "count-2-0.3 back-16 compared rho0.3 learning regular",
    "count-8-0 alternating-16 alone rho0 learning regular",
    "rating once-16 compared rho0.6 learning regular",
    "success drawn-20 compared rho0.6 steady regular",
]
N = 4000


def working(simulated: Simulated, effect: float) -> Floats:
    """Distance from the true mean, on the link scale; the untouched series behind the changed one."""
    cell = simulated.cell
    changed = latent_mean(cell) + effect * simulated.phase
    both = [(simulated.value, simulated.size, changed)]
    if simulated.control_value is not None and simulated.control_size is not None:
        untouched = np.broadcast_to(latent_mean(cell), simulated.phase.shape)
        both.append((simulated.control_value, simulated.control_size, untouched))
    return np.concatenate([_one(cell.kind, practice_sd(cell), *one) for one in both], axis=1)


def _one(kind: str, sd: float, value: Floats, size: Floats, latent: Floats) -> Floats:
    if kind == "time":
        return value - latent
    if kind == "count":
        mean = size * np.exp(latent + sd**2 / 2)
        return (value - mean) / mean
    if kind == "rating":
        return value - mean_rating(latent)
    mean = mean_share(latent)
    return (value / size - mean) / (mean * (1 - mean))


@pytest.mark.parametrize("name", CELLS)
def test_standardised_by_its_covariance_a_series_is_uncorrelated(name: str) -> None:
    """With the true covariance, L⁻¹(y - mean) has the unit matrix as its covariance in every design."""
    cell = cell_named(name)
    effect = stated_effect(cell)
    simulated = simulate(cell, N, cell.seed(3), effect=effect)
    root = np.linalg.cholesky(known_covariance(simulated, effect))
    white = np.linalg.solve(root, working(simulated, effect)[..., None])[..., 0]
    m = white.shape[1]
    # Products of two unit variables average 0 or 1; the tails of counts make single ones more scattered.
    product = white.T @ white / N
    spread = np.sqrt(np.var(white[:, :, None] * white[:, None, :], axis=0) / N)
    distance = np.abs(product - np.eye(m)) / spread
    assert distance.max() < 5.0
    assert np.sqrt(np.mean(distance**2)) < 1.25


@pytest.mark.parametrize("name", CELLS)
def test_its_own_test_keeps_the_level_and_has_the_stated_power(name: str) -> None:
    cell = cell_named(name)
    for effect in (0.0, stated_effect(cell)):
        simulated = simulate(cell, N, cell.seed(4), effect=effect)
        weights, error = oracle_weights(known_covariance(simulated, effect), oracle_design(simulated))
        estimate = np.sum(weights * (working(simulated, effect) + _mean(simulated, effect)), axis=1)
        called = float(np.mean(np.abs(estimate / error) > 1.959964))
        expected = 0.05 if effect == 0 else oracle_power(simulated, effect, 0.05).z
        # Sparse counts are not normal, so the power of z is an approximation there: 3 points are allowed.
        assert called == pytest.approx(expected, abs=0.03 if effect and cell.kind != "time" else 0.015)


@pytest.mark.parametrize("name", [name for name in CELLS if " compared " in name])
def test_a_step_that_both_series_share_leaves_its_estimate_where_it_was(name: str) -> None:
    """Told that there is no such step, the other oracle takes a part of it for the effect."""
    cell = cell_named(name)
    simulated = simulate(cell, 50, cell.seed(5), effect=0.0)
    response = working(simulated, 0.0) + _mean(simulated, 0.0)
    step = np.concatenate([simulated.phase, simulated.phase], axis=1)
    covariance = known_covariance(simulated, 0.0)
    for size in (0.3, -2.0):
        weights, _ = oracle_weights(covariance, oracle_design(simulated))
        np.testing.assert_allclose(
            np.sum(weights * (response + size * step), axis=1), np.sum(weights * response, axis=1)
        )
        told, _ = oracle_weights(covariance, oracle_design(simulated, shared_step=False))
        moved = np.sum(told * size * step, axis=1)
        assert np.all(np.abs(moved) > 0.05 * abs(size))


def test_both_designs_find_a_step_of_the_changed_series_alone() -> None:
    cell = cell_named("time once-16 compared rho0.6 learning break")
    simulated = simulate(cell, 50, cell.seed(5), effect=0.0)
    alone = np.concatenate([simulated.phase, np.zeros_like(simulated.phase)], axis=1)
    for shared_step in (True, False):
        design = oracle_design(simulated, shared_step=shared_step)
        weights, _ = oracle_weights(known_covariance(simulated, 0.0), design)
        np.testing.assert_allclose(np.sum(weights * alone, axis=1), 1.0)


def test_allowing_a_shared_step_costs_power_only_where_there_is_an_untouched_series() -> None:
    for compared in ("alone", "compared"):
        cell = cell_named(f"time once-16 {compared} rho0.3 steady regular")
        power = oracle_power(simulate(cell, 200, cell.seed(1), effect=0.0), stated_effect(cell), 0.05)
        assert (power.z == power.no_shared_step) is (compared == "alone")
        assert power.t < power.z <= power.no_shared_step


def _mean(simulated: Simulated, effect: float) -> Floats:
    """True means on the link scale, the untouched series behind the changed one."""
    cell = simulated.cell
    latent = [latent_mean(cell) + effect * simulated.phase]
    if simulated.control_value is not None:
        latent.append(np.broadcast_to(latent_mean(cell), simulated.phase.shape))
    scale = {"rating": mean_rating, "success": lambda value: logit(mean_share(value))}.get(cell.kind, np.asarray)
    return np.concatenate([scale(value) for value in latent], axis=1)


def test_what_it_does_not_know_costs_power() -> None:
    cell = cell_named("time once-10 alone rho0.3 steady regular")
    power = oracle_power(simulate(cell, 200, cell.seed(1), effect=0.0), stated_effect(cell), 0.05)
    assert 0.05 < power.t < power.z < 1
