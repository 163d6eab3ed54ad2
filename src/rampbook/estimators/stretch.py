"""The last step: how far the mixture is stretched about its centre, so that its intervals hold as often as they say.

A fit of few practices draws every autocorrelation toward the middle of the prior. So one change is judged too
surely where practices run together, and alternating settings too unsurely. The remedy is one smooth rule for all
designs, lengths and kinds: the more the fit leans to autocorrelation, and the more autocorrelation costs in this
very design, the wider; where it helps in this design (settings that alternate), a little narrower.

    log stretch = c0 + (r - m) (c1 + c2 s + (10/n) (c3 + c4 s))

r is the mean autocorrelation of the fit and m that of the prior; s says what the design suffers, the logarithm of
the standard error at autocorrelation 0.65 over that at 0.05; n is the number of practices. The five numbers were
found once, by simulation over 17 kinds of design of 8 to 40 practices (analyses/stretch.py), and are held by the
calibration study. The stretch lies between 0.89 and 1.65, and fades beyond 40 practices, where it is not needed.
"""

from __future__ import annotations

import numpy as np

from rampbook.estimators.grid import HIGH, LOW, MIDDLE_SHARE, RHO, Grid
from rampbook.estimators.kernel import EffectFit, Floats

CONSTANT, LEANING, LEANING_COST, LEANING_FEW, LEANING_COST_FEW = 0.088, -0.941, -3.155, 3.404, 19.576
LEAST_LOG, MOST_LOG = -0.12, 0.5
_FEWEST, _MOST = 8, 40
_LEAST_COST, _MOST_COST = -0.5, 0.4


def mean_rho(weight: Floats, grid: Grid) -> Floats:
    """Mean autocorrelation of the fits, (S,); where h is 1 rho means nothing and counts as the prior's mean."""
    return np.asarray(weight @ grid.rho)


def cost_of_correlation(unscaled: Floats, grid: Grid) -> Floats:
    """Logarithm of the standard error at autocorrelation 0.65 over that at 0.05, at noise share 0.35, (S,)."""
    at = [int(np.flatnonzero((grid.rho == rho) & (grid.h == MIDDLE_SHARE))[0]) for rho in (HIGH, LOW)]
    return np.asarray(np.log(unscaled[..., at[0]] / unscaled[..., at[1]]))


def features(fit: EffectFit, grid: Grid, n: int) -> Floats:
    """Give what the five numbers multiply, (S, 5)."""
    leaning = mean_rho(fit.weight, grid) - float(np.mean(RHO))
    cost = np.clip(cost_of_correlation(fit.unscaled, grid), _LEAST_COST, _MOST_COST)
    few = 10.0 / min(max(n, _FEWEST), _MOST)
    return np.stack([np.ones_like(leaning), leaning, leaning * cost, leaning * few, leaning * cost * few], axis=-1)


def stretch(fit: EffectFit, grid: Grid, n: int) -> Floats:
    """Give the factor by which each mixture is stretched about its centre, (S,)."""
    numbers = np.array([CONSTANT, LEANING, LEANING_COST, LEANING_FEW, LEANING_COST_FEW])
    fading = min(1.0, _MOST / n)
    return np.asarray(np.exp(fading * np.clip(features(fit, grid, n) @ numbers, LEAST_LOG, MOST_LOG)))
