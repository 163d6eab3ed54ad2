"""From the fits of many series to effect, interval and p."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rampbook.estimators.grid import Grid
from rampbook.estimators.kernel import EffectFit, Floats
from rampbook.estimators.mixture import centre, quantile, stretched, two_sided_p
from rampbook.estimators.stretch import stretch


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """The effects of S series on the link scale, (S,) each.

    Attributes
    ----------
    effect, low, high, p : float
        Centre, interval and two-sided p; p is below 1 - confidence just where the interval leaves out 0.
    stretch : float
        The factor by which the interval was stretched.
    """

    effect: Floats
    low: Floats
    high: Floats
    p: Floats
    stretch: Floats


def judge(fit: EffectFit, grid: Grid, n: int, confidence: float) -> Judged:
    """Judge the effects of S series of n practices."""
    factor = stretch(fit, grid, n)
    beta, se = stretched(fit.beta, fit.se, fit.weight, factor)
    tail = np.full(factor.size, 0.5 * (1.0 - confidence))
    low, high = (quantile(q, beta, se, fit.weight, fit.df) for q in (tail, 1.0 - tail))
    p = two_sided_p(beta, se, fit.weight, fit.df)
    return Judged(effect=centre(fit.beta, fit.weight), low=low, high=high, p=p, stretch=factor)
