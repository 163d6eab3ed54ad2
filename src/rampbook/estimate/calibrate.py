"""The last step: is the p of a do-nothing change, in this very design, as small as it says?

At every grid point do-nothing series are simulated and put through the whole estimator. The share of them with
a p as small as ours, averaged over what the fit thinks of rho and h, is what our p is worth. The correction only
ever widens: an interval is never made narrower than the model's own. Measured, it brings the worst designs (30
practices, autocorrelation 0.6) from 7.2% false alarms to 5-6%, and leaves those that were right alone.

The draws are fixed, so the same series gives the same answer, and every series of one design shares them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rampbook.estimate.grid import Grid
from rampbook.estimate.kernel import Floats, grid_weights, step_correlation, whiten
from rampbook.estimate.mixture import two_sided_p

SEED = 20260305
_LONG = 120


def draws_for(n: int) -> int:
    """Do-nothing series per grid point: fewer for long series, whose reference is closer to its limit already."""
    return 60 if n <= _LONG else 12


@dataclass(frozen=True, slots=True, kw_only=True)
class NullReference:
    """The p-values of do-nothing series of one design.

    Attributes
    ----------
    p : (G, B) float
        One row a grid point that the series were simulated from.
    """

    p: Floats

    def level_for(self, alpha: float, weight: Floats) -> float:
        """Nominal level whose true size is ``alpha`` under the weights (G,) of a fit; never above ``alpha``."""
        order = np.argsort(self.p, axis=None)
        share = np.repeat(weight / self.p.shape[1], self.p.shape[1])[order]
        reached = int(np.searchsorted(np.cumsum(share), alpha))
        return float(min(alpha, self.p.ravel()[order][min(reached, order.size - 1)]))

    def true_p(self, p: float, weight: Floats, alpha: float) -> float:
        """What ``p`` is worth; below ``alpha`` exactly when ``p`` is below ``level_for(alpha)``, and never smaller than p.

        Beyond the reach of the simulation the correction at ``alpha`` is carried on in proportion.
        """
        level = self.level_for(alpha, weight)
        if p <= level:
            return p * alpha / level
        share = float(np.sum(weight * np.mean(self.p <= p, axis=1)))
        return float(min(1.0, max(p, share, alpha)))


def simulate_null(gaps: Floats, noise: Floats, grid: Grid, n_draws: int) -> Floats:
    """Draw do-nothing series at every grid point, (G, B, n), from fixed seeds."""
    n = gaps.size
    rng = np.random.default_rng(SEED)
    shared, own = rng.normal(size=(n_draws, n)), rng.normal(size=(n_draws, n))
    phi = step_correlation(grid, gaps[None])[0]
    state = np.empty((grid.size, n_draws, n))
    state[:, :, 0] = shared[:, 0]
    for t in range(1, n):
        step = phi[:, t][:, None]
        state[:, :, t] = step * state[:, :, t - 1] + np.sqrt(1 - step**2) * shared[:, t]
    return np.sqrt(1 - grid.h)[:, None, None] * state + np.sqrt(grid.h)[:, None, None] * (own * np.sqrt(noise))


def fit_shared_design(
    responses: Floats, design: Floats, gaps: Floats, noise: Floats, grid: Grid, column: int
) -> tuple[Floats, Floats, Floats, int]:
    """Fit many responses (S, n) of one design: coefficient, standard error and weight, each (S, G), and df.

    The same numbers as `kernel.fit_grid`, with the whitening done once for the design.
    """
    n, p = design.shape
    whitened, log_det = whiten(np.concatenate([design, np.eye(n)], axis=1)[None], gaps[None], noise[None], grid)
    n_series = responses.shape[0]
    beta, se, rss = (np.empty((n_series, grid.size)) for _ in range(3))
    log_det_xtx = np.empty(grid.size)
    for g in range(grid.size):
        x, whitener = whitened[0, g, :, :p], whitened[0, g, :, p:]
        y = whitener @ responses.T
        q, r = np.linalg.qr(x)
        fitted = q.T @ y
        rss[:, g] = np.einsum("ns,ns->s", y, y) - np.einsum("ps,ps->s", fitted, fitted)
        inverse = np.linalg.inv(r)
        beta[:, g] = inverse[column] @ fitted
        se[:, g] = np.sqrt(np.sum(inverse[column] ** 2))
        log_det_xtx[g] = 2 * np.sum(np.log(np.abs(np.diag(r))))
    se *= np.sqrt(rss / (n - p))
    return beta, se, grid_weights(log_det, log_det_xtx, rss, n - p), n - p


@lru_cache(maxsize=64)
def _cached(key: tuple[bytes, bytes, bytes, int, int, bytes, bytes]) -> NullReference:
    design_bytes, gap_bytes, noise_bytes, n, column, rho, h = key
    design = np.frombuffer(design_bytes).reshape(n, -1)
    gaps, noise = np.frombuffer(gap_bytes), np.frombuffer(noise_bytes)
    grid = Grid(rho=np.frombuffer(rho), h=np.frombuffer(h))
    n_draws = draws_for(n)
    series = simulate_null(gaps, noise, grid, n_draws).reshape(-1, n)
    beta, se, weight, df = fit_shared_design(series, design, gaps, noise, grid, column)
    return NullReference(p=two_sided_p(beta, se, weight, df).reshape(grid.size, n_draws))


def null_reference(design: Floats, gaps: Floats, noise: Floats, grid: Grid, column: int) -> NullReference:
    """Give the p-values of do-nothing series of a design, from memory where this design was seen before.

    Parameters
    ----------
    design : (n, p) float
    gaps, noise : (n,) float
    grid : Grid
    column : int
        The column of the effect.
    """
    arrays = [np.ascontiguousarray(a, dtype=float).tobytes() for a in (design, gaps, noise)]
    return _cached((arrays[0], arrays[1], arrays[2], gaps.size, column, grid.rho.tobytes(), grid.h.tobytes()))
