"""Mixtures of t distributions: what is left of an estimate when rho and the noise share are integrated out.

Everywhere the last axis is the grid. The degrees of freedom are whole numbers, so the t distribution has a closed
form (Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 26.7.3 and 26.7.4): some twenty times faster
than the incomplete beta function, which counts where a league is estimated. It equals ``scipy.special.stdtr`` to
1e-15, and hands over to it where a tail is too thin for a difference from one half.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_MOST_STEPS = 60
# Newton doubles its digits with every step: once a step is this small, what is left is beyond the last digit.
_CLOSE = 1e-7
_THIN_TAIL = 1e-6
_LONGEST_SUM = 200


def t_cdf(t: Floats, df: int) -> Floats:
    """Distribution function of t with whole degrees of freedom, right to 1e-15 (not relatively, in the tails)."""
    if df > _LONGEST_SUM:
        from scipy.special import stdtr

        return np.asarray(stdtr(df, t))
    cos2 = 1.0 / (1.0 + t * t / df)
    sin = t * np.sqrt(cos2 / df)
    odd = df % 2
    series = np.ones_like(t)
    for j in range((df - 1) // 2 if odd else df // 2, 1, -1):
        series *= cos2
        series *= (2 * j - 2) / (2 * j - 1) if odd else (2 * j - 3) / (2 * j - 2)
        series += 1.0
    if not odd:
        return np.asarray(0.5 + 0.5 * sin * series)
    angle = np.arctan(t / math.sqrt(df))
    if df > 1:
        angle += sin * np.sqrt(cos2) * series
    return np.asarray(0.5 + angle / math.pi)


def t_density(t: Floats, df: int) -> Floats:
    """Density of t."""
    log_peak = math.lgamma((df + 1) / 2) - math.lgamma(df / 2) - 0.5 * math.log(df * math.pi)
    return np.asarray(math.exp(log_peak) * (1.0 + t * t / df) ** (-0.5 * (df + 1)))


def centre(beta: Floats, weight: Floats) -> Floats:
    """Mean of the mixture."""
    return np.asarray(np.sum(weight * beta, axis=-1))


def stretched(beta: Floats, se: Floats, weight: Floats, factor: Floats) -> tuple[Floats, Floats]:
    """Stretch mixtures (S, G) about their centres by a factor (S,): the components' new centres and scales."""
    middle, by = centre(beta, weight)[..., None], np.asarray(factor)[..., None]
    return middle + by * (beta - middle), by * se


def two_sided_p(beta: Floats, se: Floats, weight: Floats, df: int) -> Floats:
    """Two-sided p of no effect: twice the smaller tail of the mixture over the grid (last axis).

    Averaging two-sided p over the grid instead would disagree with the interval where the components stand on
    both sides of no effect: it could call an effect significant whose interval holds no effect.
    """
    side = np.where(centre(beta, weight) < 0, -1.0, 1.0)[..., None]
    distance = -side * beta / se
    tail = np.sum(weight * t_cdf(distance, df), axis=-1)
    thin = tail < _THIN_TAIL
    if np.any(thin):
        from scipy.special import stdtr

        tail = np.where(thin, np.sum(weight * stdtr(df, distance), axis=-1), tail)
    return np.asarray(2.0 * np.minimum(tail, np.maximum(1.0 - tail, 0.0)))


def quantile(probability: Floats, beta: Floats, se: Floats, weight: Floats, df: int) -> Floats:
    """Quantile of the mixture of t distributions.

    Newton steps between ever closer bounds, on the scale on which a single t would be a straight line, so that two
    or three steps reach the last digits.

    Parameters
    ----------
    probability : (S,) float
        Between 0 and 1.
    beta, se, weight : (S, G) float
        Centre, scale and weight of each component.
    df : int
        Degrees of freedom of every component.
    """
    from scipy.special import stdtrit

    probability = np.asarray(probability, dtype=float)
    reach = stdtrit(df, probability)
    middle = centre(beta, weight)
    spread = np.sqrt(np.sum(weight * (se**2 + (beta - middle[:, None]) ** 2), axis=-1))
    low, high = ((beta + reach[:, None] * se) for _ in range(2))
    low, high = low.min(axis=-1), high.max(axis=-1)
    x = np.clip(middle + reach * spread, low, high)
    for _ in range(_MOST_STEPS):
        z = (x[:, None] - beta) / se
        below = np.sum(weight * t_cdf(z, df), axis=-1)
        low, high = np.where(below < probability, x, low), np.where(below < probability, high, x)
        as_t = stdtrit(df, np.clip(below, 1e-300, 1.0 - 1e-16))
        slope = np.sum(weight * t_density(z, df) / se, axis=-1) / t_density(as_t, df)
        step = (reach - as_t) / slope
        done = np.abs(step) <= _CLOSE * spread
        inside = (x + step >= low) & (x + step <= high)
        x = np.where(inside | done, x + step, 0.5 * (low + high))
        if np.all(done):
            break
    return np.asarray(x)
