"""The stretch: one rule for all designs, bounded, blind to units, and gone where it is not needed."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.estimators.grid import grid_for
from rampbook.estimators.kernel import EffectFit, Floats, fit_effect
from rampbook.estimators.stretch import LEAST_LOG, MOST_LOG, stretch

GRID = grid_for("time")


def fitted(response: Floats, phase: Floats) -> EffectFit:
    n = phase.size
    design = np.column_stack([np.ones(n), np.arange(n) - (n - 1) / 2, phase])
    shape = response.shape
    ones = np.ones(shape)
    return fit_effect(response, np.broadcast_to(design, (*shape, 3)), ones, ones, GRID)


def wandering(n: int, rho: float, n_series: int = 200) -> Floats:
    rng = np.random.default_rng(9)
    out = rng.normal(size=(n_series, n))
    for t in range(1, n):
        out[:, t] = rho * out[:, t - 1] + np.sqrt(1 - rho**2) * out[:, t]
    return out


def test_one_change_is_stretched_more_where_practices_run_together() -> None:
    phase = np.repeat([0.0, 1.0], 15)
    even, together = (stretch(fitted(wandering(30, rho), phase), GRID, 30).mean() for rho in (0.0, 0.7))
    assert together > even + 0.1


def test_alternating_settings_are_stretched_less_where_practices_run_together() -> None:
    """There autocorrelation takes noise out of the comparison of neighbours instead of adding to it."""
    phase = np.tile([0.0, 1.0], 15)
    even, together = (stretch(fitted(wandering(30, rho), phase), GRID, 30).mean() for rho in (0.0, 0.7))
    assert together < even - 0.05


@settings(max_examples=30, deadline=None)
@given(n=st.integers(6, 60), rho=st.floats(-0.3, 0.95), unit=st.floats(0.01, 100))
def test_it_stays_within_its_bounds_and_knows_no_units(n: int, rho: float, unit: float) -> None:
    phase = np.repeat([0.0, 1.0], [n // 2, n - n // 2])
    response = wandering(n, rho, 5)
    factor = stretch(fitted(response, phase), GRID, n)
    assert np.all((factor >= np.exp(LEAST_LOG) - 1e-12) & (factor <= np.exp(MOST_LOG) + 1e-12))
    np.testing.assert_allclose(stretch(fitted(unit * response, phase), GRID, n), factor, rtol=1e-9)


@pytest.mark.parametrize("n", [200, 2000])
def test_it_fades_in_long_series(n: int) -> None:
    phase = np.repeat([0.0, 1.0], n // 2)
    factor = stretch(fitted(wandering(n, 0.6, 3), phase), GRID, n)
    assert np.all(np.abs(np.log(factor)) <= MOST_LOG * 40 / n + 1e-12)
