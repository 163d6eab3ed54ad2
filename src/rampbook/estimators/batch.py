"""The estimate of many series of one length at once; the single estimate is the same code with one series.

Series are worked through a few hundred at a time, so that a step of the kernel stays in the processor's cache, on
two threads, since numpy lets go of the interpreter while it computes.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rampbook.estimators.grid import Grid, grid_for
from rampbook.estimators.judge import judge
from rampbook.estimators.kernel import Floats, fit_effect, ordinary_fit
from rampbook.estimators.stretch import mean_rho
from rampbook.estimators.working import working

CHUNK = 512
LEAST_DF = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """S series of n practices each.

    Attributes
    ----------
    kind_name : str
        time, count, rating or success.
    value, size : (S, n) float
        As in `series.practices.Summaries`.
    phase : (S, n) float
        0 old setting, 1 new setting.
    gaps : (S, n) float
        Time before each practice in typical gaps; the first is 1.
    control_value, control_size : (S, n) float or None
        The untouched series at the same practices.
    """

    kind_name: str
    value: Floats
    size: Floats
    phase: Floats
    gaps: Floats
    control_value: Floats | None = None
    control_size: Floats | None = None

    def part(self, rows: slice) -> Batch:
        """Give some of the series."""
        arrays = (self.value, self.size, self.phase, self.gaps, self.control_value, self.control_size)
        value, size, phase, gaps, other, other_size = (None if a is None else a[rows] for a in arrays)
        return Batch(
            kind_name=self.kind_name, value=value, size=size, phase=phase, gaps=gaps,
            control_value=other, control_size=other_size,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchEstimate:
    """Effects on the link scale, (S,) each; NaN where refused, because nothing varies or too few practices are left.

    Attributes
    ----------
    effect, low, high, p, stretch, rho_mean : float
    refused : bool
    half_counts : bool
        Whether half counts replaced the working response.
    """

    effect: Floats
    low: Floats
    high: Floats
    p: Floats
    stretch: Floats
    rho_mean: Floats
    refused: NDArray[np.bool_]
    half_counts: NDArray[np.bool_]


def estimate_batch(batch: Batch, *, confidence: float = 0.95, trend: bool = True) -> BatchEstimate:
    """Estimate the effect of every series of a batch."""
    starts = range(0, batch.value.shape[0], CHUNK)
    chunks = [batch.part(slice(start, start + CHUNK)) for start in starts]
    with ThreadPoolExecutor(min(2, os.cpu_count() or 1)) as pool:
        parts = list(pool.map(lambda chunk: _estimate(chunk, confidence, trend), chunks))
    names = BatchEstimate.__dataclass_fields__
    return BatchEstimate(**{name: np.concatenate([getattr(part, name) for part in parts]) for name in names})


def batch_design(phase: Floats, *, trend: bool) -> Floats:
    """Level, trend by practice, effect: (S, n, p), as `model.design_columns` builds it for one series."""
    n = phase.shape[1]
    columns = [np.ones_like(phase), phase]
    if trend:
        columns.insert(1, np.broadcast_to(np.arange(n) - (n - 1) / 2.0, phase.shape))
    return np.stack(columns, axis=2)


def _estimate(batch: Batch, confidence: float, trend: bool) -> BatchEstimate:
    design = batch_design(batch.phase, trend=trend)
    main = working(batch.kind_name, batch.value, batch.size, design)
    response, noise, half = main.response, main.noise, main.half_counts
    if batch.control_value is not None and batch.control_size is not None:
        other = working(batch.kind_name, batch.control_value, batch.control_size, design)
        response, noise, half = response - other.response, noise + other.noise, half | other.half_counts
    keep = ~_refused(response, design)
    out = {name: np.full(keep.size, np.nan) for name in ("effect", "low", "high", "p", "stretch", "rho_mean")}
    if np.any(keep):
        noise = noise / np.median(noise, axis=1, keepdims=True)
        kept = (part[keep] for part in (response, design, batch.gaps, noise))
        for name, values in _judged(*kept, grid_for(batch.kind_name), confidence).items():
            out[name][keep] = values
    return BatchEstimate(**out, refused=~keep, half_counts=half)


def _judged(
    response: Floats, design: Floats, gaps: Floats, noise: Floats, grid: Grid, confidence: float
) -> dict[str, Floats]:
    fit = fit_effect(response, design, gaps, noise, grid)
    judged = judge(fit, grid, response.shape[1], confidence)
    found = {name: getattr(judged, name) for name in ("effect", "low", "high", "p", "stretch")}
    return found | {"rho_mean": mean_rho(fit.weight, grid)}


def _refused(response: Floats, design: Floats) -> NDArray[np.bool_]:
    n, p = design.shape[1:]
    if n - p < LEAST_DF:
        return np.ones(response.shape[0], dtype=bool)
    left = ordinary_fit(response, design)[1]
    flat = np.sum(left**2, axis=1) <= 1e-20 * np.maximum(1.0, np.sum(response**2, axis=1))
    return np.asarray(flat)
