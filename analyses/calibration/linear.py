"""The usual straight-line fits of many series at once: t-test, OLS, Newey-West, GLSAR.

Each gives the two-sided p of every series, (S,). Each equals its library to 1e-6 or better
(tests/simulation/test_calibration_usual.py).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtr

Floats = NDArray[np.float64]

EFFECT = 2
LAGS = 2
GLSAR_ROUNDS, GLSAR_TOLERANCE = 20, 1e-4


def straight_design(phase: Floats) -> Floats:
    """Give level, trend by practice and effect, (S, n, 3)."""
    n = phase.shape[1]
    trend = np.broadcast_to(np.arange(n) - (n - 1) / 2, phase.shape)
    return np.stack([np.ones(phase.shape), trend, phase], axis=2)


def t_p(estimate: Floats, error: Floats, degrees: Floats | float) -> Floats:
    """Two-sided p of a t statistic; NaN where there is no spread to judge by."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(2.0 * stdtr(degrees, -np.abs(estimate / error)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """Least squares of S series: coefficients (S, p), inverse of X'X (S, p, p), residuals (S, n)."""

    beta: Floats
    inverse: Floats
    residual: Floats

    @property
    def degrees(self) -> int:
        """n - p."""
        return int(self.residual.shape[1] - self.beta.shape[1])

    def p(self) -> Floats:
        """Two-sided p of the effect with the classical standard error."""
        scale = np.sum(self.residual**2, axis=1) / self.degrees
        return t_p(self.beta[:, EFFECT], np.sqrt(scale * self.inverse[:, EFFECT, EFFECT]), self.degrees)


def least_squares(response: Floats, design: Floats) -> Solved:
    """Fit every series, (S, n) on (S, n, p)."""
    turned = np.swapaxes(design, 1, 2)
    inverse = _inverse(turned @ design)
    beta = (inverse @ (turned @ response[..., None]))[..., 0]
    return Solved(beta=beta, inverse=inverse, residual=response - (design @ beta[..., None])[..., 0])


def _inverse(products: Floats) -> Floats:
    """Invert; where differencing has taken the level away there is no inverse, and the pseudo-inverse serves."""
    try:
        return np.asarray(np.linalg.inv(products), dtype=np.float64)
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.pinv(products, hermitian=True), dtype=np.float64)


def t_test(values: Floats, phase: Floats) -> Floats:
    """Compare the practices with the old and with the new setting, equal variances assumed."""
    return t_test_of_groups(values, np.zeros_like(values), np.ones_like(values), phase)


def t_test_of_groups(mean: Floats, within: Floats, size: Floats, phase: Floats) -> Floats:
    """Compare all attempts with the old and with the new setting, from the summary of each practice.

    Parameters
    ----------
    mean, within, size : (S, n) float
        Mean, sum of squares around it, and number of attempts of each practice.
    phase : (S, n) float
    """
    counts, means, squares = [], [], []
    for setting in (0, 1):
        weight = size * (phase == setting)
        count = weight.sum(axis=1)
        middle = np.sum(weight * mean, axis=1) / count
        spread = weight * (mean - middle[:, None]) ** 2 + (phase == setting) * within
        counts.append(count)
        means.append(middle)
        squares.append(spread.sum(axis=1))
    degrees = counts[0] + counts[1] - 2
    error = np.sqrt((squares[0] + squares[1]) / degrees * (1 / counts[0] + 1 / counts[1]))
    return t_p(means[1] - means[0], error, degrees)


def ols(response: Floats, design: Floats) -> Floats:
    """Segmented least squares with trend."""
    return least_squares(response, design).p()


def newey_west(response: Floats, design: Floats) -> Floats:
    """Least squares with Newey-West errors: 2 lags, Bartlett weights, times n / (n - p), t with n - p."""
    fit = least_squares(response, design)
    moved = design * fit.residual[..., None]
    middle = np.swapaxes(moved, 1, 2) @ moved
    for lag in range(1, LAGS + 1):
        product = np.swapaxes(moved[:, lag:], 1, 2) @ moved[:, :-lag]
        middle += (1 - lag / (LAGS + 1)) * (product + np.swapaxes(product, 1, 2))
    row = fit.inverse[:, EFFECT]
    variance = np.einsum("si,sij,sj->s", row, middle, row) * response.shape[1] / fit.degrees
    return t_p(fit.beta[:, EFFECT], np.sqrt(variance), fit.degrees)


def glsar(response: Floats, design: Floats) -> Floats:
    """First-order autoregressive errors as statsmodels iterates them (``GLSAR.iterative_fit``, 20 rounds).

    Least squares of the differenced practices, autocorrelation from the residuals by Yule-Walker, and again until
    no coefficient moves by more than a ten-thousandth of itself; a series that has settled keeps its fit.
    """
    columns = np.concatenate([design, response[..., None]], axis=2)
    rho = np.zeros(response.shape[0])
    settled = np.zeros(response.shape[0], dtype=bool)
    last = np.full((response.shape[0], design.shape[2]), np.inf)
    for _ in range(GLSAR_ROUNDS - 1):
        fit = _differenced(columns, rho)
        with np.errstate(divide="ignore", invalid="ignore"):
            settled |= np.max(np.abs(last - fit.beta) / np.abs(last), axis=1) < GLSAR_TOLERANCE
        if settled.all():
            break
        last = fit.beta
        residual = response - (design @ fit.beta[..., None])[..., 0]
        rho = np.where(settled, rho, yule_walker(residual))
    return _differenced(columns, rho).p()


def yule_walker(residual: Floats) -> Floats:
    """Give the autocorrelation of centred residuals, each sum divided by its own number of terms; (S,)."""
    centred = residual - residual.mean(axis=1, keepdims=True)
    n = residual.shape[1]
    neighbours = np.sum(centred[:, 1:] * centred[:, :-1], axis=1) / (n - 1)
    with np.errstate(divide="ignore", invalid="ignore"):
        found = neighbours / (np.sum(centred**2, axis=1) / n)
    return np.asarray(np.nan_to_num(found, posinf=0.0, neginf=0.0))


def _differenced(columns: Floats, rho: Floats) -> Solved:
    moved = columns[:, 1:] - rho[:, None, None] * columns[:, :-1]
    return least_squares(moved[..., -1], moved[..., :-1])
