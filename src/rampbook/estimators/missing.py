"""How far practices without a value, and attempts that were cut off, could have moved an effect."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rampbook.estimators.grid import grid_for
from rampbook.estimators.kernel import Floats, fit_grid
from rampbook.estimators.marginal import Estimate, central_effect, fit_model
from rampbook.estimators.model import TREND, Model, design_columns
from rampbook.series.practices import Missing, PracticeSeries

_LONGEST = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class _Whole:
    """The model with every practice in it, and how far each response may lie from where it stands, (n + k,)."""

    model: Model
    lowest: Floats
    highest: Floats


def missing_bounds(series: PracticeSeries, model: Model, estimate: Estimate) -> tuple[float, float] | None:
    """Give the smallest and largest effect on the link scale that the missing values leave open.

    A missing practice is put on the fitted line, and from there as far down or up as the farthest practice that was
    measured (our own rule, after the extreme-case analysis of Manski 1990, American Economic Review 80:319-323,
    narrowed to what was seen; from memory). An unfinished attempt lies between its limit and as much above it as the
    slowest attempt lay above the line. Each is moved to the end that pulls the effect the same way, and the whole is
    fitted again. The estimate itself lies always within.

    Parameters
    ----------
    series : PracticeSeries
        As it was fitted.
    model : Model
        What was fitted of it.
    estimate : Estimate

    Returns
    -------
    (float, float) or None
        None where nothing is missing or unfinished, or beyond 400 practices.
    """
    n_missing = 0 if series.missing is None else series.missing.n
    if (not n_missing and np.all(series.attempt_finished)) or series.n + n_missing > _LONGEST:
        return None
    whole = _whole(series, model)
    rising = _pull(whole, series.kind.name) > 0
    ends = (
        np.where(rising, whole.lowest, whole.highest),
        np.where(rising, whole.highest, whole.lowest),
    )
    effects = [
        central_effect(replace(whole.model, response=whole.model.response + shift), series.kind.name) for shift in ends
    ]
    return min(*effects, estimate.effect), max(*effects, estimate.effect)


def _whole(series: PracticeSeries, model: Model) -> _Whole:
    """Put the missing practices on the line that the measured ones give."""
    whole, measured = _in_place(series)
    design, _ = design_columns(whole, trend=TREND in model.names)
    fit = fit_model(replace(model, design=design[measured]), grid_for(series.kind.name))
    response = design @ np.sum(fit.weight[0][:, None] * fit.beta[0], axis=0)
    residual = model.response - response[measured]
    lowest, highest = np.full(whole.n, min(residual.min(), 0.0)), np.full(whole.n, max(residual.max(), 0.0))
    lowest[measured], highest[measured] = 0.0, _late(series, residual)
    response[measured] = model.response
    noise = np.ones(whole.n)
    noise[measured] = model.noise
    return _Whole(
        model=replace(model, response=response, design=design, gaps=whole.gaps, noise=noise, main_response=response),
        lowest=lowest,
        highest=highest,
    )


def _late(series: PracticeSeries, residual: Floats) -> Floats:
    """How much slower the mean log time of each practice could be, had every stopped attempt gone on, (n,)."""
    if np.all(series.attempt_finished):
        return np.zeros(series.n)
    place = series.attempt_practice
    over_line = np.log(series.attempt_value) - series.main.value[place] + residual[place]
    stopped = np.bincount(place, weights=~series.attempt_finished, minlength=series.n)
    return np.asarray(stopped / series.main.size * max(over_line.max(), 0.0))


def _in_place(series: PracticeSeries) -> tuple[PracticeSeries, NDArray[np.bool_]]:
    """Give the series with the places of the missing practices, and which of its practices were measured."""
    no_cells = np.empty((0, series.covariates.shape[1]))
    nothing = Missing(elapsed=np.empty(0), phase=np.empty(0, dtype=np.int64), covariates=no_cells)
    missing = series.missing or nothing
    # A covariate that nobody noted is taken as usual.
    covariates = np.where(np.isfinite(missing.covariates), missing.covariates, series.covariates.mean(axis=0))
    elapsed = np.concatenate([series.elapsed, missing.elapsed])
    order = np.argsort(elapsed, kind="stable")
    whole = replace(
        series,
        labels=("",) * elapsed.size,
        elapsed=elapsed[order],
        phase=np.concatenate([series.phase, missing.phase])[order],
        covariates=np.concatenate([series.covariates, covariates])[order],
    )
    return whole, order < series.n


def _pull(whole: _Whole, kind_name: str) -> Floats:
    """How much the effect rises with each response that may move, the weights of the grid held; 0 for the others."""
    model, grid = whole.model, grid_for(kind_name)
    pull = np.zeros(model.response.size)
    movable = np.flatnonzero(whole.highest > whole.lowest)
    if not movable.size:
        return pull
    design, gaps, noise = (
        np.broadcast_to(part, (movable.size, *part.shape)) for part in (model.design, model.gaps, model.noise)
    )
    fit = fit_grid(np.eye(model.response.size)[movable], design, gaps, noise, grid)
    pull[movable] = fit.beta[..., model.effect] @ fit_model(model, grid).weight[0]
    return pull
