"""The batched kernel: generalised least squares of many series at every grid point at once.

The error of a practice is V = (1 - h) R(rho) + h D: an autocorrelated practice effect plus noise. Such an
error is a first-order autoregression seen through noise, so its whitening is a one-state Kalman filter
(Harvey 1989, Forecasting, Structural Time Series Models and the Kalman Filter, ch. 3): n short steps instead
of an n by n factorisation. It equals statsmodels ``GLS`` at each grid point to 1e-8 (tests/estimate/test_kernel.py).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rampbook.estimators.grid import Grid

Floats = NDArray[np.float64]

# A product of so many variances cannot leave the range of a float; one logarithm then serves them all.
_LOG_EVERY = 8
_TINY = 1e-300


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


def cross_products(columns: Floats, gaps: Floats, noise: Floats, grid: Grid) -> tuple[list[Floats], Floats]:
    """Give Z'V⁻¹Z of the columns Z at every grid point, summed up practice by practice while the filter runs.

    The same filter as `whiten`, without keeping the whitened columns: many short series fit in the processor's
    cache. Series stand in the last axis, so that every step is one operation over all of them.

    Parameters
    ----------
    columns : (n, q, S) float
    gaps, noise : (n, S) float
    grid : Grid
        G grid points.

    Returns
    -------
    products : list of (q - i, G, S) float
        Row i of the upper triangle: products of column i with columns i … q - 1.
    log_det : (G, S) float
    """
    n, q, n_series = columns.shape
    shape = (grid.size, n_series)
    h, shared = grid.h[:, None], 1.0 - grid.h[:, None]
    phi = _steps(grid, gaps)
    spread = np.broadcast_to(shared, shape).copy()
    state = np.zeros((q, *shape))
    products = [np.zeros((q - i, *shape)) for i in range(q)]
    det, log_det = np.ones(shape), np.zeros(shape)
    surprise, weighted, room = (np.empty_like(state) for _ in range(3))
    for t in range(n):
        total = spread + h * noise[t]
        det *= total
        if t % _LOG_EVERY == _LOG_EVERY - 1:
            log_det += np.log(det)
            det.fill(1.0)
        np.subtract(columns[t][:, None, :], state, out=surprise)
        precision = np.divide(1.0, total, out=total)
        np.multiply(surprise, precision, out=weighted)
        for i, row in enumerate(products):
            row += np.multiply(weighted[i], surprise[i:], out=room[i:])
        if t + 1 < n:
            step = phi(t + 1)
            state += np.multiply(weighted, spread, out=weighted)
            state *= step
            step *= step
            spread *= np.multiply(precision, step, out=precision)
            spread *= h * noise[t]
            spread += shared * (1.0 - step)
    return products, log_det + np.log(det)


def _steps(grid: Grid, gaps: Floats) -> Callable[[int], Floats]:
    """Give a function of t: correlation of practice t with the one before, (G, S); powers once for each rho."""
    rho, which = np.unique(grid.rho, return_inverse=True)
    with np.errstate(divide="ignore"):
        log_size = np.log(np.abs(rho))[:, None]
    sign = np.where(rho < 0, -1.0, 1.0)[:, None]
    return lambda t: (sign * np.exp(log_size * gaps[t]))[which]


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectFit:
    """The GLS fit of the last column of the design, for S series at each of G grid points; arrays are (S, G).

    Attributes
    ----------
    beta, se : float
        Coefficient and its standard error.
    unscaled : float
        Standard error for a variance of 1: what the design and the errors alone say.
    weight : float
        Restricted likelihood of the grid point times its flat prior, summing to 1 over G.
    df : int
        n - p.
    """

    beta: Floats
    se: Floats
    unscaled: Floats
    weight: Floats
    df: int


def fit_effect(response: Floats, design: Floats, gaps: Floats, noise: Floats, grid: Grid) -> EffectFit:
    """Fit S series at every grid point and keep what concerns the effect, the last column of the design.

    Parameters
    ----------
    response : (S, n) float
        Practice summaries on the link scale.
    design : (S, n, p) float
        Columns of the model, the effect last; full column rank.
    gaps, noise : (S, n) float
        As for `whiten`.
    grid : Grid
        G grid points.
    """
    n, p = design.shape[1:]
    plain, left = ordinary_fit(response, design)
    columns = np.concatenate([design, left[..., None]], axis=2).transpose(1, 2, 0)
    products, log_det = cross_products(
        np.ascontiguousarray(columns), np.ascontiguousarray(gaps.T), np.ascontiguousarray(noise.T), grid
    )
    root = _cholesky(products)
    unscaled, rss = 1.0 / root[p - 1, p - 1], root[p, p] ** 2
    log_det_xtx = np.sum([np.log(root[i, i]) for i in range(p)], axis=0) * 2.0
    weight = grid_weights(log_det.T, log_det_xtx.T, rss.T, n - p)
    beta = plain[:, -1:] + (root[p, p - 1] * unscaled).T
    se = (np.sqrt(rss / (n - p)) * unscaled).T
    return EffectFit(beta=beta, se=se, unscaled=unscaled.T, weight=weight, df=n - p)


def ordinary_fit(response: Floats, design: Floats) -> tuple[Floats, Floats]:
    """Coefficients (S, p) of ordinary least squares, and what they leave of the response (S, n).

    The kernel is given what is left, so that no digits are lost in the products; the coefficients are added back.
    """
    across = np.swapaxes(design, 1, 2)
    beta = np.linalg.solve(across @ design, across @ response[..., None])
    return np.asarray(beta[..., 0]), np.asarray(response - (design @ beta)[..., 0])


def _cholesky(products: list[Floats]) -> dict[tuple[int, int], Floats]:
    """Factor every cross-product matrix, entry by entry, so that each entry is one operation over all series.

    With the effect last but one and the response last, the last two rows hold all that is asked of the effect.
    """
    root: dict[tuple[int, int], Floats] = {}
    for j, row in enumerate(products):
        for i in range(j, len(products)):
            left = row[i - j]
            for k in range(j):
                left = left - root[i, k] * root[j, k]
            root[i, j] = np.sqrt(np.maximum(left, _TINY)) if i == j else left / root[j, j]
    return root


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
