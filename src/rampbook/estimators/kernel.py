"""The batched kernel: generalised least squares of many series at every grid point at once.

The error of a practice is V = (1 - h) R(rho) + h D: an autocorrelated practice effect plus noise. Such an
error is a first-order autoregression seen through noise, so its whitening is a one-state Kalman filter
(Harvey 1989, Forecasting, Structural Time Series Models and the Kalman Filter, ch. 3): n short steps instead
of an n by n factorisation. It equals statsmodels ``GLS`` at each grid point to 1e-8 (tests/estimate/test_kernel.py).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rampbook.estimators.grid import Grid

Floats = NDArray[np.float64]


def step_correlation(grid: Grid, gaps: Floats) -> Floats:
    """Correlation of neighbouring practices, rho to the power of the gap.

    A negative rho keeps its sign from practice to practice and weakens with the gap: the sign pattern times
    a valid correlation is a valid correlation.

    Parameters
    ----------
    grid : Grid
        G grid points.
    gaps : (S, n) float
        Time before each practice in typical gaps; above 0.

    Returns
    -------
    (S, G, n) float
    """
    size = np.abs(grid.rho)[None, :, None] ** gaps[:, None, :]
    return np.where(grid.rho[None, :, None] < 0, -size, size)


def whiten(columns: Floats, gaps: Floats, noise: Floats, grid: Grid) -> tuple[Floats, Floats]:
    """Turn columns into uncorrelated ones of unit variance at every grid point.

    Parameters
    ----------
    columns : (S, n, q) float
        For each of S series, q columns over n practices (the design, and the response).
    gaps : (S, n) float
        Time before each practice in typical gaps.
    noise : (S, n) float
        D, the relative noise variance of each practice, median 1.
    grid : Grid
        G grid points.

    Returns
    -------
    whitened : (S, G, n, q) float
    log_det : (S, G) float
        Logarithm of the determinant of V.
    """
    n_series, n, q = columns.shape
    shared = (1.0 - grid.h)[None, :]
    phi = step_correlation(grid, gaps)
    out = np.empty((n_series, grid.size, n, q))
    log_det = np.zeros((n_series, grid.size))
    state = np.zeros((n_series, grid.size, q))
    spread = np.broadcast_to(shared, (n_series, grid.size)).copy()
    for t in range(n):
        total = spread + grid.h[None, :] * noise[:, t, None]
        surprise = columns[:, None, t, :] - state
        out[:, :, t, :] = surprise / np.sqrt(total)[..., None]
        log_det += np.log(total)
        if t + 1 < n:
            gain = spread / total
            step = phi[:, :, t + 1]
            state = step[..., None] * (state + gain[..., None] * surprise)
            spread = step**2 * spread * (1.0 - gain) + shared * (1.0 - step**2)
    return out, log_det


@dataclass(frozen=True, slots=True, kw_only=True)
class GridFit:
    """The GLS fit of S series at each of G grid points.

    Attributes
    ----------
    beta : (S, G, p) float
        Coefficients.
    unscaled : (S, G, p, p) float
        Inverse of X'V⁻¹X; times ``sigma2`` it is the covariance of the coefficients.
    sigma2 : (S, G) float
        Residual variance, RSS / (n - p).
    weight : (S, G) float
        Restricted likelihood of the grid point times its flat prior, summing to 1 over G.
    df : int
        n - p.
    """

    beta: Floats
    unscaled: Floats
    sigma2: Floats
    weight: Floats
    df: int

    def standard_error(self, column: int) -> Floats:
        """Give the standard error of one coefficient at each grid point, (S, G)."""
        return np.sqrt(self.sigma2 * self.unscaled[..., column, column])


def grid_weights(log_det: Floats, log_det_xtx: Floats, rss: Floats, df: int) -> Floats:
    """Restricted likelihood with the variance integrated out, normalised over the last axis.

    Harville 1974, Biometrika 61:383-385, for the restricted likelihood; the variance has a flat prior on its
    logarithm.
    """
    log_weight = -0.5 * (log_det + log_det_xtx + df * np.log(rss))
    log_weight -= log_weight.max(axis=-1, keepdims=True)
    weight = np.exp(log_weight)
    return np.asarray(weight / weight.sum(axis=-1, keepdims=True))


def fit_grid(response: Floats, design: Floats, gaps: Floats, noise: Floats, grid: Grid) -> GridFit:
    """Fit S series by GLS at every grid point.

    Parameters
    ----------
    response : (S, n) float
        Practice summaries on the link scale.
    design : (S, n, p) float
        Columns of the model; full column rank.
    gaps, noise : (S, n) float
        As for `whiten`.
    grid : Grid
        G grid points.
    """
    n, p = design.shape[1:]
    whitened, log_det = whiten(np.concatenate([design, response[..., None]], axis=2), gaps, noise, grid)
    x, y = whitened[..., :p], whitened[..., p]
    xtx = np.swapaxes(x, -1, -2) @ x
    unscaled = np.asarray(np.linalg.inv(xtx), dtype=float)
    beta = np.einsum("sgij,sgnj,sgn->sgi", unscaled, x, y, optimize=True)
    residual = y - np.einsum("sgnp,sgp->sgn", x, beta)
    rss = np.einsum("sgn,sgn->sg", residual, residual)
    weight = grid_weights(log_det, np.linalg.slogdet(xtx)[1], rss, n - p)
    return GridFit(beta=beta, unscaled=unscaled, sigma2=rss / (n - p), weight=weight, df=n - p)
