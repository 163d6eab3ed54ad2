"""How many more practices would settle it: simulated with the real estimator from what the fit knows."""

from __future__ import annotations

import numpy as np

from rampbook.estimators.grid import Grid
from rampbook.estimators.kernel import Floats
from rampbook.estimators.marginal import Estimate
from rampbook.estimators.model import TREND, Model
from rampbook.estimators.simulate import fit_shared_design, simulate_null

STEPS = (2, 4, 6, 8, 12, 16, 24, 32, 48)
SETTLED_SHARE = 0.8
_DRAWS = 3


def practices_to_settle(model: Model, estimate: Estimate, worthwhile: float) -> int | None:
    """Fewest further practices with the new setting after which 8 of 10 simulated repeats are settled; None beyond 48.

    A repeat is settled when its interval leaves out no effect, or lies within ``worthwhile`` (link scale, above 0)
    on both sides of it. The true effect is taken to be the estimate, the errors to be as the fit thinks. Not
    answered (None) for a model with covariates, whose future values are not known.
    """
    known = {"level", TREND, "effect"}
    if set(model.names) - known:
        return None
    for more in STEPS:
        if _settled_share(model, estimate, worthwhile, more) >= SETTLED_SHARE:
            return more
    return None


def _settled_share(model: Model, estimate: Estimate, worthwhile: float, more: int) -> float:
    """Share of simulated repeats that ``more`` practices would settle, weighted by what the fit thinks of rho and h."""
    from scipy.special import stdtrit

    design, gaps, noise = _longer(model, more)
    grid, weight = _heavy_part(estimate)
    errors = simulate_null(gaps, noise, grid, _draws(grid)) * _error_sd(estimate, grid)[:, None, None]
    n = gaps.size
    response = errors.reshape(-1, n) + design[:, estimate.column] * estimate.effect
    beta, se, posterior, df = fit_shared_design(response, design, gaps, noise, grid, estimate.column)
    mean = np.sum(posterior * beta, axis=1)
    spread = np.sqrt(np.sum(posterior * (se**2 + (beta - mean[:, None]) ** 2), axis=1))
    reach = -stdtrit(df, 0.5 * (1.0 - estimate.confidence)) * estimate.stretch * spread
    settled = (np.abs(mean) > reach) | (np.abs(mean) + reach < worthwhile)
    return float(np.sum(weight * settled.reshape(grid.size, -1).mean(axis=1)))


def _longer(model: Model, more: int) -> tuple[Floats, Floats, Floats]:
    design = np.vstack([model.design, np.repeat(model.design[-1:], more, axis=0)])
    design[model.design.shape[0] :, model.effect] = 1.0
    if TREND in model.names:
        column = model.names.index(TREND)
        design[:, column] = design[0, column] + np.arange(design.shape[0])
    return design, np.concatenate([model.gaps, np.ones(more)]), np.concatenate([model.noise, np.ones(more)])


def _heavy_part(estimate: Estimate) -> tuple[Grid, Floats]:
    """Give the grid points that carry the fit: at most 12, drawn without repeats in order of their weight."""
    weight = estimate.fit.weight[0]
    chosen = np.sort(np.argsort(weight)[::-1][:12])
    grid = Grid(rho=estimate.grid.rho[chosen], h=estimate.grid.h[chosen])
    return grid, weight[chosen] / weight[chosen].sum()


def _error_sd(estimate: Estimate, grid: Grid) -> Floats:
    whole = estimate.grid
    wanted = [int(np.flatnonzero((whole.rho == r) & (whole.h == h))[0]) for r, h in zip(grid.rho, grid.h, strict=True)]
    return np.asarray(np.sqrt(estimate.fit.sigma2[0][wanted]))


def _draws(grid: Grid) -> int:
    return max(_DRAWS, 240 // grid.size)
