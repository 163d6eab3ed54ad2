"""The last step: read p against the p of do-nothing changes in this very design.

At every grid point do-nothing series are simulated and put through the whole estimator. The share of them with
a p as small as ours, averaged over what the fit thinks of rho and h, is what our p is worth. The average is taken
over the worse half of that: a fit of 30 practices sees too little of its own autocorrelation, and the plain average
would believe it. The correction only ever widens: an interval is never made narrower than the model's own.

Measured at autocorrelation 0.6 (3,000 series a cell), false alarms without this step, with the plain average, and
with the worse half: 16 practices once 7.2, 7.0, 5.1%; 30 once 8.1, 7.3, 6.1%; 30 there and back twice 7.1, 6.0,
4.7%; 16 alternating 2.8, 2.7, 2.2%. The price: a drill made 12% faster is found a few points less often.

The draws are fixed, so the same series gives the same answer, and every series of one design shares them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rampbook.estimators.grid import Grid
from rampbook.estimators.kernel import Floats, grid_weights, step_correlation, whiten
from rampbook.estimators.mixture import two_sided_p

SEED = 20260305
WORSE_SHARE = 0.5
_LONG = 120


def draws_for(n: int) -> int:
    """Do-nothing series per grid point: fewer for long series, whose reference is closer to its limit already."""
    return 100 if n <= _LONG else 20


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
        worse = self._worse_half(alpha, weight)
        share = np.repeat(worse / self.p.shape[1], self.p.shape[1])[order]
        reached = int(np.searchsorted(np.cumsum(share), alpha))
        return float(min(alpha, self.p.ravel()[order][min(reached, order.size - 1)]))

    def _worse_half(self, alpha: float, weight: Floats) -> Floats:
        """Keep the half of the weight (G,) whose grid points give false alarms most often; sums to 1."""
        order = np.argsort(-np.mean(self.p <= alpha, axis=1), kind="stable")
        before = np.cumsum(weight[order]) - weight[order]
        kept = np.empty_like(weight)
        kept[order] = np.clip(WORSE_SHARE - before, 0.0, weight[order]) / WORSE_SHARE
        return kept

    def true_p(self, p: float, weight: Floats, alpha: float) -> float:
        """Say what ``p`` is worth: never less than p, and below ``alpha`` where ``p`` is below ``level_for(alpha)``.

        Beyond the reach of the simulation the correction at ``alpha`` is carried on in proportion.
        """
        level = self.level_for(alpha, weight)
        if p <= level:
            return p * alpha / level
        share = float(np.sum(self._worse_half(alpha, weight) * np.mean(self.p <= p, axis=1)))
        return float(min(1.0, max(p, share, alpha)))


def simulate_null(gaps: Floats, noise: Floats, grid: Grid, n_draws: int) -> Floats:
    """Draw do-nothing series at every grid point, (G, B, n), from fixed seeds."""
    n = gaps.size
    rng = np.random.default_rng(SEED)
    # Each grid point has draws of its own: with shared ones the average over the grid would be as noisy as one point.
    shared, own = rng.normal(size=(2, grid.size, n_draws, n))
    phi = step_correlation(grid, gaps[None])[0]
    state = np.empty((grid.size, n_draws, n))
    state[:, :, 0] = shared[:, :, 0]
    for t in range(1, n):
        step = phi[:, t][:, None]
        state[:, :, t] = step * state[:, :, t - 1] + np.sqrt(1 - step**2) * shared[:, :, t]
    own = own * np.sqrt(noise)
    return np.asarray(np.sqrt(1 - grid.h)[:, None, None] * state + np.sqrt(grid.h)[:, None, None] * own)


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
