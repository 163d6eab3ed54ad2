"""Many series of one cell at once, with the truth that the cell states."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from analyses.calibration.cells import Cell
from analyses.calibration.designs import practice_gaps
from analyses.calibration.truth import (
    ATTEMPT_SD,
    LEAST_EXPOSURE,
    LEAST_TRIES,
    MOST_ATTEMPTS,
    MOST_EXPOSURE,
    MOST_TRIES,
    SHARED,
    THRESHOLDS,
    latent_mean,
    practice_sd,
)

Floats = NDArray[np.float64]
Sampled = tuple[Floats, Floats | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulated:
    """S series of n practices.

    Attributes
    ----------
    cell : Cell
    phase, gaps : (S, n) float
        Setting of each practice, and the time before it in typical gaps.
    value, size : (S, n) float
        Mean log seconds and attempts; count and exposure; rating and 1; successes and tries.
    within : (S, n) float or None
        For times, the sum of squares of the attempts around the mean of their practice.
    control_value, control_size : (S, n) float or None
        The same of the untouched series.
    """

    cell: Cell
    phase: Floats
    gaps: Floats
    value: Floats
    size: Floats
    within: Floats | None
    control_value: Floats | None
    control_size: Floats | None

    def first(self, n_series: int) -> Simulated:
        """Give the first series only."""

        def cut(array: Floats | None) -> Floats | None:
            return None if array is None else array[:n_series]

        return Simulated(
            cell=self.cell, phase=self.phase[:n_series], gaps=self.gaps[:n_series], value=self.value[:n_series],
            size=self.size[:n_series], within=cut(self.within), control_value=cut(self.control_value),
            control_size=cut(self.control_size),
        )  # fmt: skip


def practice_effects(rho: float, gaps: Floats, rng: np.random.Generator) -> Floats:
    """Draw practice effects of variance 1, correlated rho to the power of the gap; the shape of ``gaps``."""
    step = rho**gaps
    fresh = np.sqrt(1.0 - step**2)
    effects = rng.normal(size=gaps.shape)
    for t in range(1, gaps.shape[1]):
        effects[:, t] = step[:, t] * effects[:, t - 1] + fresh[:, t] * effects[:, t]
    return effects


def _sizes(kind: str, shape: tuple[int, ...], rng: np.random.Generator) -> Floats:
    if kind == "time":
        return rng.integers(1, MOST_ATTEMPTS + 1, size=shape).astype(np.float64)
    if kind == "count":
        return rng.uniform(LEAST_EXPOSURE, MOST_EXPOSURE, size=shape)
    if kind == "success":
        return rng.integers(LEAST_TRIES, MOST_TRIES + 1, size=shape).astype(np.float64)
    return np.ones(shape)


def _sample_time(latent: Floats, size: Floats, rng: np.random.Generator) -> Sampled:
    mean = latent + ATTEMPT_SD / np.sqrt(size) * rng.normal(size=latent.shape)
    within = np.zeros(latent.shape)
    several = size > 1
    within[several] = ATTEMPT_SD**2 * rng.chisquare(size[several] - 1)
    return mean, within


def _sample_count(latent: Floats, size: Floats, rng: np.random.Generator) -> Sampled:
    return rng.poisson(size * np.exp(latent)).astype(np.float64), None


def _sample_rating(latent: Floats, size: Floats, rng: np.random.Generator) -> Sampled:
    return np.searchsorted(THRESHOLDS, latent).astype(np.float64), None


def _sample_success(latent: Floats, size: Floats, rng: np.random.Generator) -> Sampled:
    return rng.binomial(size.astype(np.int64), expit(latent)).astype(np.float64), None


_SAMPLE: dict[str, Callable[[Floats, Floats, np.random.Generator], Sampled]] = {
    "time": _sample_time,
    "count": _sample_count,
    "rating": _sample_rating,
    "success": _sample_success,
}


def simulate(cell: Cell, n_series: int, seed: np.random.SeedSequence, *, effect: float) -> Simulated:
    """Draw series of a cell.

    Parameters
    ----------
    effect : float
        Put in on the link scale with the new setting; 0 for a change that did nothing. The same seed gives the
        same days, sizes and practice effects whatever the effect.
    """
    rng = np.random.default_rng(seed)
    n = cell.practices.n
    phase = cell.practices.phases(n_series, rng)
    gaps = practice_gaps(n_series, n, irregular=cell.irregular, rng=rng)
    size, control_size = (_sizes(cell.kind, (n_series, n), rng) for _ in range(2))
    shared, own, others = (practice_effects(cell.rho, gaps, rng) for _ in range(3))
    base, sd = latent_mean(cell), practice_sd(cell)
    sample = _SAMPLE[cell.kind]
    common = base + sd * np.sqrt(SHARED) * shared
    apart = sd * np.sqrt(1 - SHARED)
    # The untouched series is drawn first, so that it is the same under every effect.
    control_value = sample(common + apart * others, control_size, rng)[0] if cell.compared else None
    value, within = sample(common + apart * own + effect * phase, size, rng)
    return Simulated(
        cell=cell, phase=phase, gaps=gaps, value=value, size=size, within=within,
        control_value=control_value, control_size=control_size if cell.compared else None,
    )  # fmt: skip
