"""What is true in a cell: level, learning, spread and effect of each kind of outcome.

The figures are those of the small simulations that the estimator was designed on; none comes from a real club.
Learning and effect stand on the link scale: log seconds, log rate, points before rounding, log odds. Learning is
centred, so the level is that of the middle of the series.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit, ndtr

from analyses.calibration.cells import Cell

Floats = NDArray[np.float64]

PRACTICE_SD, ATTEMPT_SD = 0.06, 0.08
MOST_ATTEMPTS = 8
LEAST_EXPOSURE, MOST_EXPOSURE = 0.7, 1.3
RATING_SD, SUCCESS_SD = 1.1, 0.5
LEAST_TRIES, MOST_TRIES = 3, 10
SHARED = 0.8
"""Share of the variance of the practice effect that the untouched series has in common with the changed one."""

EFFECT = {"time": math.log(0.88), "count": math.log(0.5), "rating": 1.5, "success": math.log(2.5)}
LEARNING = {"time": -0.01, "count": -0.01, "rating": 0.05, "success": 0.02}
LEVEL = {"time": math.log(30.0), "rating": 7.5, "success": 0.6}

THRESHOLDS = np.arange(1, 11) - 0.5
"""A rating is the number of these that the opinion lies above: 0 to 10, rounded, with a ceiling."""
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(24)
NODES, NODE_WEIGHTS = _NODES, _WEIGHTS / _WEIGHTS.sum()


def practice_sd(cell: Cell) -> float:
    """Give the SD of the practice effect on the link scale.

    A log-normal practice effect of variance log(1 + dispersion) gives counts Var = mean + dispersion · mean².
    """
    if cell.kind == "count":
        return math.sqrt(math.log1p(cell.dispersion))
    return {"time": PRACTICE_SD, "rating": RATING_SD, "success": SUCCESS_SD}[cell.kind]


def latent_mean(cell: Cell) -> Floats:
    """Give the link-scale mean of every practice without the change, (n,), the practice effect at its mean."""
    n = cell.practices.n
    # A log-normal practice effect raises the mean count; this takes it down again to the stated one.
    level = math.log(cell.mean) - practice_sd(cell) ** 2 / 2 if cell.kind == "count" else LEVEL[cell.kind]
    slope = LEARNING[cell.kind] if cell.learning else 0.0
    return np.asarray(level + slope * (np.arange(n) - (n - 1) / 2), dtype=np.float64)


def stated_effect(cell: Cell) -> float:
    """Give the effect on the link scale that is put into the series (for ratings: before rounding and ceiling)."""
    return EFFECT[cell.kind]


def true_effect(cell: Cell) -> float:
    """Give the effect that an estimate is compared with.

    For ratings the difference in the mean of what is written down, which the ceiling makes smaller, averaged
    over the practices; for the other kinds the stated one.
    """
    return marginal_effect(cell) if cell.kind == "rating" else stated_effect(cell)


def marginal_effect(cell: Cell) -> float:
    """Give the effect on what is seen on average over practice effects.

    Differs from the stated one for ratings, and for successes: the odds ratio of the average share lies a
    little nearer 1 than that of a single practice.
    """
    base = latent_mean(cell)
    if cell.kind == "rating":
        return float(np.mean(mean_rating(base + stated_effect(cell)) - mean_rating(base)))
    if cell.kind == "success":
        return float(np.mean(logit(mean_share(base + stated_effect(cell))) - logit(mean_share(base))))
    return stated_effect(cell)


def mean_rating(latent: Floats) -> Floats:
    """Give the expected rating at a latent mean, over the practice effect."""
    return np.asarray(ndtr((latent[..., None] - THRESHOLDS) / RATING_SD).sum(axis=-1))


def mean_share(latent: Floats) -> Floats:
    """Give the expected share of successes at a latent mean, over the practice effect."""
    return np.asarray(expit(latent[..., None] + SUCCESS_SD * NODES) @ NODE_WEIGHTS)
