"""Do-nothing series of one design, and the fit of many series that share a design."""

from __future__ import annotations

import numpy as np

from rampbook.estimators.grid import Grid
from rampbook.estimators.kernel import Floats, grid_weights, step_correlation, whiten

SEED = 20260305


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
