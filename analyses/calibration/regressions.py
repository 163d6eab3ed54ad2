"""Poisson, negative binomial and binomial regressions of many series at once, with z for the effect.

Practices count as independent. A fit whose answer is not finite (nothing counted with one of the settings) has NaN.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import digamma, expit, ndtr, zeta

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

MOST_ROUNDS, SETTLED = 60, 1e-10
FURTHEST = 12.0
"""A linear predictor this far from the middle means that the likelihood has no top."""
LEAST_LOG_ALPHA, MOST_LOG_ALPHA = -10.0, 4.0


def z_p(estimate: Floats, error: Floats) -> Floats:
    """Two-sided p of a z statistic."""
    return np.asarray(2.0 * ndtr(-np.abs(estimate / error)))


def _normal_equations(design: Floats, weight: Floats, target: Floats) -> tuple[Floats, Floats]:
    """Weighted least squares: coefficients (S, p), and the inverse of X'WX (S, p, p)."""
    turned = np.swapaxes(design * weight[..., None], 1, 2)
    # A trace of ridge keeps a fit without finite answer from stopping the others; it is marked as such later.
    ridge = 1e-12 * np.eye(design.shape[2])
    inverse = np.asarray(np.linalg.inv(turned @ design + ridge), dtype=np.float64)
    return (inverse @ (turned @ target[..., None]))[..., 0], inverse


def fit_poisson(count: Floats, design: Floats, offset: Floats) -> tuple[Floats, Floats, Flags]:
    """Fit log-linear counts; coefficients (S, p), means (S, n), and whether the answer is finite (S,)."""
    eta = np.log(count + 0.5)
    beta = np.zeros((count.shape[0], design.shape[2]))
    for _ in range(MOST_ROUNDS):
        mu = np.exp(np.clip(eta, -30, 30))
        beta, _ = _normal_equations(design, mu, eta - offset + (count - mu) / mu)
        fresh = (design @ beta[..., None])[..., 0] + offset
        moved = np.max(np.abs(fresh - eta), axis=1)
        eta = np.clip(fresh, -30, 30)
        lost = np.min(eta, axis=1) < -FURTHEST
        if np.all((moved < SETTLED) | lost):
            break
    return beta, np.exp(eta), ~lost & (moved < 1e-6)


def poisson(count: Floats, design: Floats, offset: Floats, effect: int) -> Floats:
    """Two-sided p of a Poisson regression; (S,)."""
    beta, mu, finite = fit_poisson(count, design, offset)
    inverse = _normal_equations(design, mu, mu)[1]
    return np.where(finite, z_p(beta[:, effect], np.sqrt(inverse[:, effect, effect])), np.nan)


def binomial(hits: Floats, tries: Floats, design: Floats, effect: int) -> Floats:
    """Two-sided p of a logistic regression of successes out of tries; (S,)."""
    share = (hits + 0.5) / (tries + 1.0)
    eta = np.log(share / (1 - share))
    for _ in range(MOST_ROUNDS):
        share = expit(eta)
        weight = tries * share * (1 - share)
        beta, inverse = _normal_equations(design, weight, eta + (hits - tries * share) / weight)
        fresh = (design @ beta[..., None])[..., 0]
        moved = np.max(np.abs(fresh - eta), axis=1)
        eta = np.clip(fresh, -30, 30)
        lost = np.max(np.abs(eta), axis=1) > FURTHEST
        if np.all((moved < SETTLED) | lost):
            break
    finite = ~lost & (moved < 1e-6)
    return np.where(finite, z_p(beta[:, effect], np.sqrt(inverse[:, effect, effect])), np.nan)


def negative_binomial(count: Floats, design: Floats, offset: Floats, effect: int) -> Floats:
    """Two-sided p of a negative binomial regression (variance mu + alpha mu², maximum likelihood); (S,).

    The standard error comes from the curvature in all parameters. Where the counts vary no more than chance the
    top lies at alpha 0, and the fit is the Poisson fit.
    """
    plain = poisson(count, design, offset, effect)
    beta, mu, finite = fit_poisson(count, design, offset)
    spread = finite & (np.sum((count - mu) ** 2 - count, axis=1) > 0)
    result = plain.copy()
    if spread.any():
        result[spread] = _spread_p(count[spread], design[spread], offset[spread], beta[spread], effect)
    return result


def _spread_p(count: Floats, design: Floats, offset: Floats, beta: Floats, effect: int) -> Floats:
    mu = np.exp((design @ beta[..., None])[..., 0] + offset)
    excess = np.sum((count - mu) ** 2 - mu, axis=1) / np.sum(mu**2, axis=1)
    parameters = np.column_stack([beta, np.log(np.clip(excess, 0.02, 3.0))])
    active = np.arange(count.shape[0])
    for _ in range(MOST_ROUNDS):
        step = _climb(count[active], design[active], offset[active], parameters[active])
        parameters[active] += step
        parameters[active, -1] = np.clip(parameters[active, -1], LEAST_LOG_ALPHA, MOST_LOG_ALPHA)
        active = active[np.max(np.abs(step), axis=1) > SETTLED]
        if active.size == 0:
            break
    score, curvature = _score_and_curvature(count, design, offset, parameters)
    known = np.max(np.abs(score), axis=1) < 1e-6 * np.maximum(1.0, count.sum(axis=1))
    safe = np.where(known[:, None, None], curvature, np.eye(curvature.shape[1]))
    variance = np.linalg.inv(safe)[:, effect, effect]
    known &= variance > 0
    error = np.sqrt(np.where(known, variance, 1.0))
    return np.where(known, z_p(parameters[:, effect], error), np.nan)


def _climb(count: Floats, design: Floats, offset: Floats, parameters: Floats) -> Floats:
    """One step: Newton in all parameters where the likelihood curves down in all, else along each block.

    Steps are cut to 1 on the log scale, since Newton overshoots far from the top.
    """
    score, curvature = _score_and_curvature(count, design, offset, parameters)
    values, vectors = np.linalg.eigh(curvature)
    # An absolute eigenvalue turns a step toward a saddle into a step uphill.
    bent = np.maximum(np.abs(values), 1e-8)
    along = np.einsum("sij,si->sj", vectors, score) / bent
    step = np.einsum("sij,sj->si", vectors, along)
    longest = np.max(np.abs(step), axis=1, keepdims=True)
    return np.asarray(step / np.maximum(longest, 1.0))


def _score_and_curvature(count: Floats, design: Floats, offset: Floats, parameters: Floats) -> tuple[Floats, Floats]:
    """Slope (S, p + 1) and minus the second derivatives (S, p + 1, p + 1) of the log likelihood.

    The parameters are the coefficients and log alpha; r = 1 / alpha.
    """
    mu = np.exp(np.clip((design @ parameters[:, :-1, None])[..., 0] + offset, -30, 30))
    r = np.exp(-parameters[:, -1:])
    total = r + mu
    by_eta = r * (count - mu) / total
    by_r = digamma(count + r) - digamma(r) + np.log(r / total) + 1 - (r + count) / total
    by_r_twice = zeta(2.0, count + r) - zeta(2.0, r) + 1 / r - 1 / total - (mu - count) / total**2
    slope_r = by_r.sum(axis=1)
    score = np.column_stack([np.einsum("snp,sn->sp", design, by_eta), -r[:, 0] * slope_r])
    size = score.shape[1]
    curvature = np.empty((count.shape[0], size, size))
    bend = mu * r * (r + count) / total**2
    curvature[:, :-1, :-1] = np.swapaxes(design * bend[..., None], 1, 2) @ design
    mixed = np.einsum("snp,sn->sp", design, r * (count - mu) * mu / total**2)
    curvature[:, :-1, -1] = curvature[:, -1, :-1] = mixed
    curvature[:, -1, -1] = -(r[:, 0] ** 2 * by_r_twice.sum(axis=1) + r[:, 0] * slope_r)
    return score, curvature
