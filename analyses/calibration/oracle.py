"""How often somebody who knows the autocorrelation and the variances would find the effect.

The oracle fits by generalised least squares with the true covariance and reads z. It knows neither level, trend nor
effect; with an untouched series it fits both together, each with its own level and trend, and knows how they are
correlated. It does not know whether something else happened on the day of the change that moved both series alike
(another joystick, another floor), so the two may share a step of any size there, as Rampbook lets them. A second
oracle is told that there is no such step, which is an easier question. For times this is exact. For counts and
successes it takes the working response at the true means, (y - mean) over the slope of the link, with the true
variances and covariances of what is counted; for ratings the true moments of the rounded rating. Practice effects
are normal on the link scale, so these moments have closed forms or short series in the correlation.

Given the sizes and days of a series its power needs no drawing: z is normal around effect / standard error. It is
averaged over series. A third oracle allows the shared step, knows the correlations and how the variances compare,
but not their common scale, and reads t.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, nctdtr, ndtr, ndtri, stdtrit

from analyses.calibration.cells import Cell
from analyses.calibration.designs import gap_correlation
from analyses.calibration.linear import EFFECT, straight_design
from analyses.calibration.simulate import Simulated
from analyses.calibration.truth import (
    ATTEMPT_SD,
    NODE_WEIGHTS,
    NODES,
    PRACTICE_SD,
    RATING_SD,
    SHARED,
    SUCCESS_SD,
    THRESHOLDS,
    latent_mean,
    marginal_effect,
    practice_sd,
)

Floats = NDArray[np.float64]

TERMS = 6
MOST_SERIES = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """What the oracle knows of every practice, the untouched series behind the changed one; m practices.

    Attributes
    ----------
    loading : (K, S, m) float
        Share k of a practice in the k-th power of the correlation: the covariance of two practices is the sum
        of loading · loading · correlation^k over k.
    variance : (S, m) float
        Of one practice, on the link scale.
    """

    loading: Floats
    variance: Floats

    def covariance(self, correlation: Floats) -> Floats:
        """Give the covariance matrix of every series, (S, m, m)."""
        found = np.zeros(correlation.shape)
        power = np.ones(correlation.shape)
        for loading in self.loading:
            power = power * correlation
            found += power * loading[:, :, None] * loading[:, None, :]
        m = correlation.shape[1]
        found[:, np.arange(m), np.arange(m)] = self.variance
        return found


def _time(latent: Floats, size: Floats, cell: Cell) -> Moments:
    loading = np.full(latent.shape, PRACTICE_SD)
    return Moments(loading=loading[None], variance=loading**2 + ATTEMPT_SD**2 / size)


def _count(latent: Floats, size: Floats, cell: Cell) -> Moments:
    """Log-normal counts on the log scale: exp(variance · r) - 1, and 1 / mean for the counting."""
    variance = practice_sd(cell) ** 2
    mean = size * np.exp(latent + variance / 2)
    terms = [math.sqrt(variance**k / math.factorial(k)) for k in range(1, TERMS + 1)]
    loading = np.array(terms)[:, None, None] * np.ones(latent.shape)
    return Moments(loading=loading, variance=math.expm1(variance) + 1 / mean)


def _hermite(order: int, x: Floats) -> Floats:
    """Hermite polynomial of the normal density."""
    return np.asarray(np.polynomial.hermite_e.hermeval(x, [0.0] * order + [1.0]))


def _rating(latent: Floats, size: Floats, cell: Cell) -> Moments:
    """A rating is a sum of steps, and the loading of a step at z on order k is He(k - 1) at z times its density."""
    z = (THRESHOLDS - latent[..., None]) / RATING_SD
    density, above = np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi), ndtr(-z)
    loading = np.stack(
        [np.sum(_hermite(k - 1, z) * density, axis=-1) / math.sqrt(math.factorial(k)) for k in range(1, TERMS + 1)]
    )
    odd = 2 * np.arange(1, len(THRESHOLDS) + 1) - 1
    return Moments(loading=loading, variance=above @ odd - above.sum(axis=-1) ** 2)


def _success(latent: Floats, size: Floats, cell: Cell) -> Moments:
    """Shares of tries on the scale of the logit of the average share."""
    share = expit(latent[..., None] + SUCCESS_SD * NODES)
    mean = share @ NODE_WEIGHTS
    slope = mean * (1 - mean)
    loading = np.stack(
        [(share * _hermite(k, NODES)) @ NODE_WEIGHTS / math.sqrt(math.factorial(k)) / slope for k in range(1, TERMS)]
    )
    between = share**2 @ NODE_WEIGHTS - mean**2
    within = (share * (1 - share)) @ NODE_WEIGHTS / size
    return Moments(loading=loading, variance=(between + within) / slope**2)


_MOMENTS: dict[str, Callable[[Floats, Floats, Cell], Moments]] = {
    "time": _time,
    "count": _count,
    "rating": _rating,
    "success": _success,
}


def known_covariance(simulated: Simulated, effect: float) -> Floats:
    """Give the true covariance on the link scale, (S, m, m): m is n, or 2n with an untouched series."""
    cell = simulated.cell
    latent = latent_mean(cell) + effect * simulated.phase
    size, correlation = simulated.size, gap_correlation(cell.rho, simulated.gaps)
    if simulated.control_size is not None:
        latent = np.concatenate([latent, np.broadcast_to(latent_mean(cell), simulated.phase.shape)], axis=1)
        size = np.concatenate([size, simulated.control_size], axis=1)
        correlation = np.kron(np.array([[1.0, SHARED], [SHARED, 1.0]]), correlation)
    return _MOMENTS[cell.kind](latent, size, cell).covariance(correlation)


def oracle_design(simulated: Simulated, *, shared_step: bool = True) -> Floats:
    """Give level, trend and effect; with an untouched series its level and trend too, and the shared step; (S, m, p).

    Parameters
    ----------
    shared_step : bool
        Whether both series may have moved alike at the change. Without an untouched series nothing can tell such a
        step from the effect, and this changes nothing.
    """
    design = straight_design(simulated.phase)
    if simulated.control_value is None:
        return design
    changed = np.concatenate([design, np.zeros((*design.shape[:2], 2))], axis=2)
    untouched = np.concatenate([np.zeros_like(design), design[..., :2]], axis=2)
    both = np.concatenate([changed, untouched], axis=1)
    if not shared_step:
        return both
    step = np.concatenate([simulated.phase, simulated.phase], axis=1)
    return np.concatenate([both, step[..., None]], axis=2)


def oracle_weights(covariance: Floats, design: Floats) -> tuple[Floats, Floats]:
    """Give the weights of the practices in the effect (S, m), and its standard error (S,)."""
    solved = np.linalg.solve(covariance, design)
    inverse = np.linalg.inv(np.swapaxes(design, 1, 2) @ solved)
    row = inverse[:, EFFECT]
    return np.einsum("smp,sp->sm", solved, row), np.sqrt(inverse[:, EFFECT, EFFECT])


@dataclass(frozen=True, slots=True, kw_only=True)
class OraclePower:
    """Power of three oracles.

    Attributes
    ----------
    z : float
        Knows the covariance; the two series may share a step at the change. The bar.
    t : float
        The same, but does not know the scale.
    no_shared_step : float
        Knows the covariance, and that nothing else moved both series at the change. Without an untouched series
        the same as ``z``.
    """

    z: float
    t: float
    no_shared_step: float


def oracle_power(simulated: Simulated, effect: float, alpha: float) -> OraclePower:
    """Average the power over the first 300 series (all are alike where sizes, days and start do not differ).

    Parameters
    ----------
    effect : float
        As put into the series; the power is that for its marginal size.
    """
    some = simulated.first(MOST_SERIES)
    covariance = known_covariance(some, effect)
    design, told = oracle_design(some), oracle_design(some, shared_step=False)
    size = abs(marginal_effect(some.cell))
    reach, easier = (size / oracle_weights(covariance, columns)[1] for columns in (design, told))
    return OraclePower(
        z=_power_of_z(reach, alpha),
        t=_power_of_t(reach, design.shape[1] - design.shape[2], alpha),
        no_shared_step=_power_of_z(easier, alpha),
    )


def _power_of_z(reach: Floats, alpha: float) -> float:
    """Average power of a two-sided z test, at effects in standard errors."""
    cut = -ndtri(alpha / 2)
    return float(np.mean(ndtr(reach - cut) + ndtr(-reach - cut)))


def _power_of_t(reach: Floats, degrees: int, alpha: float) -> float:
    """Average power of a two-sided t test, at effects in standard errors."""
    cut = -stdtrit(degrees, alpha / 2)
    return float(np.mean(1 - nctdtr(degrees, reach, cut) + nctdtr(degrees, reach, -cut)))
