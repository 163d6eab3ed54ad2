"""Mixtures of t distributions: what is left of an estimate when rho and the noise share are integrated out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_BISECTIONS = 80


def two_sided_p(beta: Floats, se: Floats, weight: Floats, df: int) -> Floats:
    """Two-sided p of no effect: twice the smaller tail of the mixture over the grid (last axis).

    Averaging two-sided p over the grid instead would disagree with the interval where the components stand on
    both sides of no effect: it could call an effect significant whose interval holds no effect.
    """
    from scipy.special import stdtr

    # The tail away from the middle of the mixture is the small one, and is summed directly to keep its digits.
    side = np.where(np.sum(weight * beta, axis=-1, keepdims=True) < 0, -1.0, 1.0)
    tail = np.sum(weight * stdtr(df, -side * beta / se), axis=-1)
    return np.asarray(2.0 * np.minimum(tail, np.maximum(1.0 - tail, 0.0)))


def quantile(probability: Floats, beta: Floats, se: Floats, weight: Floats, df: int) -> Floats:
    """Quantile of the mixture of t distributions, by bisection to the last bit that matters.

    Parameters
    ----------
    probability : (S,) float
        Between 0 and 1.
    beta, se, weight : (S, G) float
        Centre, scale and weight of each component.
    df : int
        Degrees of freedom of every component.
    """
    from scipy.special import stdtr, stdtrit

    reach = stdtrit(df, np.asarray(probability))[:, None] * se
    low, high = (beta + reach).min(axis=1), (beta + reach).max(axis=1)
    for _ in range(_BISECTIONS):
        middle = 0.5 * (low + high)
        below = np.sum(weight * stdtr(df, (middle[:, None] - beta) / se), axis=1) < probability
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray(0.5 * (low + high))
