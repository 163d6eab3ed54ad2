"""Mixtures of t distributions: what is left of an estimate when rho and the noise share are integrated out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_BISECTIONS = 80


def two_sided_p(beta: Floats, se: Floats, weight: Floats, df: int) -> Floats:
    """Two-sided p of no effect, averaged over the grid (last axis)."""
    from scipy.special import stdtr

    return np.asarray(np.sum(weight * 2.0 * stdtr(df, -np.abs(beta) / se), axis=-1))


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
