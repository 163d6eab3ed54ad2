"""The estimate of many series of one length at once; the single estimate is the same code with one series.

Series are worked through a few hundred at a time, so that a step of the kernel stays in the processor's cache, on
two threads, since numpy lets go of the interpreter while it computes.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rampbook.estimators.grid import grid_for
from rampbook.estimators.judge import Judged, judge
from rampbook.estimators.kernel import Floats, fit_effect, ordinary_fit
from rampbook.estimators.working import working

Flags = NDArray[np.bool_]

CHUNK = 512
LEAST_DF = 2
_THREADS = 2
# Least share of a column that the columns before it must leave, for it to say something of its own.
_OWN_SHARE = 1e-9


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
    covariates : (S, n, c) float or None
        Declared covariates.
    """

    kind_name: str
    value: Floats
    size: Floats
    phase: Floats
    gaps: Floats
    control_value: Floats | None = None
    control_size: Floats | None = None
    covariates: Floats | None = None

    def part(self, rows: slice) -> Batch:
        """Give some of the series."""
        found: dict[str, Any] = {item.name: getattr(self, item.name) for item in fields(self)}
        parts: dict[str, Any] = {name: x[rows] if isinstance(x, np.ndarray) else x for name, x in found.items()}
        return Batch(**parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchEstimate:
    """Effects on the link scale, (S,) each; NaN where refused.

    Attributes
    ----------
    effect, low, high, p, stretch : float
    refused : bool
        Nothing varies, the columns of the design cannot be told apart, or too few practices are left.
    half_counts : bool
        Whether half counts replaced the working response.
    """

    effect: Floats
    low: Floats
    high: Floats
    p: Floats
    stretch: Floats
    refused: Flags
    half_counts: Flags


def estimate_batch(batch: Batch, *, confidence: float = 0.95, trend: bool = True) -> BatchEstimate:
    """Estimate the effect of every series of a batch."""
    starts = range(0, batch.value.shape[0], CHUNK)
    chunks = [batch.part(slice(start, start + CHUNK)) for start in starts]
    with ThreadPoolExecutor(min(_THREADS, os.cpu_count() or 1)) as pool:
        parts = list(pool.map(lambda chunk: _estimate(chunk, confidence, trend), chunks))
    names = [item.name for item in fields(BatchEstimate)]
    return BatchEstimate(**{name: np.concatenate([getattr(part, name) for part in parts]) for name in names})


def batch_design(phase: Floats, *, trend: bool, covariates: Floats | None = None) -> Floats:
    """Level, trend by practice, covariates, effect: (S, n, p), as `model.design_columns` builds it for one series."""
    n = phase.shape[1]
    columns = [np.ones_like(phase)]
    if trend:
        columns.append(np.broadcast_to(np.arange(n) - (n - 1) / 2.0, phase.shape))
    if covariates is not None:
        centred = covariates - covariates.mean(axis=1, keepdims=True)
        spread = np.sqrt(np.mean(centred**2, axis=1, keepdims=True))
        columns += list(np.moveaxis(centred / np.where(spread > 0, spread, 1.0), 2, 0))
    return np.stack([*columns, phase], axis=2)


def _estimate(batch: Batch, confidence: float, trend: bool) -> BatchEstimate:
    design = batch_design(batch.phase, trend=trend, covariates=batch.covariates)
    n, p = design.shape[1:]
    clear = _told_apart(design) if n - p >= LEAST_DF else np.zeros(design.shape[0], dtype=bool)
    response, noise, half = np.zeros(batch.value.shape), np.ones(batch.value.shape), np.zeros(clear.size, dtype=bool)
    if np.any(clear):
        response[clear], noise[clear], half[clear] = _responses(batch, clear, design[clear])
        clear[clear] = _varies(response[clear], design[clear])
    names = [item.name for item in fields(Judged)]
    out = {name: np.full(clear.size, np.nan) for name in names}
    if np.any(clear):
        grid = grid_for(batch.kind_name)
        fit = fit_effect(response[clear], design[clear], batch.gaps[clear], noise[clear], grid)
        judged = judge(fit, grid, n, confidence)
        for name in names:
            out[name][clear] = getattr(judged, name)
    return BatchEstimate(**out, refused=~clear, half_counts=half)


def _responses(batch: Batch, keep: Flags, design: Floats) -> tuple[Floats, Floats, Flags]:
    """Response, noise scaled to median 1, and whether half counts were needed; less the untouched series."""
    main = working(batch.kind_name, batch.value[keep], batch.size[keep], design)
    response, noise, half = main.response, main.noise, main.half_counts
    if batch.control_value is not None and batch.control_size is not None:
        other = working(batch.kind_name, batch.control_value[keep], batch.control_size[keep], design)
        response, noise, half = response - other.response, noise + other.noise, half | other.half_counts
    return response, noise / np.median(noise, axis=1, keepdims=True), half


def _varies(response: Floats, design: Floats) -> Flags:
    """Whether anything is left beside the design, as `marginal.leaves_nothing` asks of one series."""
    left = ordinary_fit(response, design)[1]
    return np.asarray(np.sum(left**2, axis=1) > 1e-20 * np.maximum(1.0, np.sum(response**2, axis=1)))


def _told_apart(design: Floats) -> Flags:
    """Whether every column says something that the others together do not."""
    scaled = design / np.maximum(np.sqrt(np.sum(design**2, axis=1, keepdims=True)), 1e-300)
    return np.asarray(np.linalg.matrix_rank(scaled, tol=_OWN_SHARE) == design.shape[2])
