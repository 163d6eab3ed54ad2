"""Restricted maximum likelihood with first-order autoregressive errors, the autocorrelation plugged in as if known.

Practices count as equally spaced, as most programs have it. The inverse of the correlation matrix is tridiagonal,
so X'R⁻¹X is a quadratic in rho over 1 - rho²: the sums are taken once, and every rho costs a few multiplications.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyses.calibration.linear import EFFECT, t_p

Floats = NDArray[np.float64]

LEAST_RHO, MOST_RHO, N_START = -0.98, 0.995, 40
_GOLDEN = (np.sqrt(5.0) - 1) / 2
_SHRINKS = 36


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """Sums of products of the columns (design, then response), each (S, q, q), of n practices."""

    all: Floats
    ends: Floats
    neighbours: Floats
    n: int

    def weighted(self, rho: Floats) -> Floats:
        """Give A'R⁻¹A for the columns A at rho, (S, q, q)."""
        r = rho[:, None, None]
        return np.asarray((self.all + r**2 * (self.all - self.ends) - r * self.neighbours) / (1 - r**2))


def sums_of(response: Floats, design: Floats) -> Sums:
    """Take the sums of every series."""
    columns = np.concatenate([design, response[..., None]], axis=2)
    turned = np.swapaxes(columns, 1, 2)
    ends = columns[:, [0, -1]]
    product = turned[:, :, 1:] @ columns[:, :-1]
    return Sums(
        all=turned @ columns,
        ends=np.swapaxes(ends, 1, 2) @ ends,
        neighbours=product + np.swapaxes(product, 1, 2),
        n=response.shape[1],
    )


def restricted_log_likelihood(sums: Sums, rho: Floats) -> Floats:
    """Give the restricted log likelihood of every series at its rho, up to a constant; (S,).

    Harville 1974, Biometrika 61:383-385, the variance at its maximum.
    """
    diagonal = np.diagonal(np.linalg.cholesky(sums.weighted(rho)), axis1=1, axis2=2)
    degrees = sums.n - (diagonal.shape[1] - 1)
    log_det = (sums.n - 1) * np.log1p(-(rho**2)) + 2 * np.sum(np.log(diagonal[:, :-1]), axis=1)
    return np.asarray(-0.5 * (log_det + 2 * degrees * np.log(diagonal[:, -1])))


def best_rho(sums: Sums) -> Floats:
    """Give the rho of the highest restricted likelihood, (S,): the best of a coarse row, then golden sections."""
    start = np.linspace(LEAST_RHO, MOST_RHO, N_START)
    n_series = sums.all.shape[0]
    heights = np.stack([restricted_log_likelihood(sums, np.full(n_series, rho)) for rho in start], axis=1)
    best = np.argmax(heights, axis=1)
    low, high = start[np.maximum(best - 1, 0)], start[np.minimum(best + 1, N_START - 1)]
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = (restricted_log_likelihood(sums, rho) for rho in (left, right))
    for _ in range(_SHRINKS):
        goes_left = at_left > at_right
        low, high = np.where(goes_left, low, left), np.where(goes_left, right, high)
        fresh = np.where(goes_left, high - _GOLDEN * (high - low), low + _GOLDEN * (high - low))
        at_fresh = restricted_log_likelihood(sums, fresh)
        left, right = np.where(goes_left, fresh, right), np.where(goes_left, left, fresh)
        at_left, at_right = np.where(goes_left, at_fresh, at_right), np.where(goes_left, at_left, at_fresh)
    return np.asarray((low + high) / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlugIn:
    """The plugged-in rho, the effect and its standard error there, each (S,), and n - p."""

    rho: Floats
    effect: Floats
    error: Floats
    degrees: int

    def p(self) -> Floats:
        """Two-sided p, t with n - p."""
        return t_p(self.effect, self.error, self.degrees)


def fit_plug_in(response: Floats, design: Floats) -> PlugIn:
    """Fit every series; one without any variation beyond the design has NaN for its error."""
    flat = _flat(response, design)
    spread = np.where(flat[:, None], np.random.default_rng(0).normal(size=response.shape), response)
    sums = sums_of(spread, design)
    rho = best_rho(sums)
    weighted = sums.weighted(rho)
    inverse = np.linalg.inv(weighted[:, :-1, :-1])
    cross = weighted[:, :-1, -1]
    beta = np.einsum("sij,sj->si", inverse, cross)
    degrees = response.shape[1] - design.shape[2]
    scale = (weighted[:, -1, -1] - np.sum(cross * beta, axis=1)) / degrees
    error = np.sqrt(scale * inverse[:, EFFECT, EFFECT])
    return PlugIn(rho=rho, effect=beta[:, EFFECT], error=np.where(flat, np.nan, error), degrees=degrees)


def _flat(response: Floats, design: Floats) -> NDArray[np.bool_]:
    """Whether the design explains a series without remainder; its likelihood has no top."""
    fitted = design @ (np.linalg.pinv(design) @ response[..., None])
    remainder = np.sum((response - fitted[..., 0]) ** 2, axis=1)
    return np.asarray(remainder <= 1e-20 * np.maximum(1.0, np.sum(response**2, axis=1)))
