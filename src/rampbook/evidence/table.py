"""A series as the textbook fits take it: alone, without the untouched series."""

from __future__ import annotations

import numpy as np

from rampbook.estimators.usual_fits.tabled import Tabled
from rampbook.series.practices import Floats, PracticeSeries


def _link_response(series: PracticeSeries) -> Floats:
    """Response of the least-squares rows: half counts are added to all counts only when one of them is zero."""
    value, size = series.main.value, series.main.size
    if series.kind.name in ("time", "rating"):
        return value
    if series.kind.name == "count":
        return np.asarray(np.log((value + (0.5 if np.any(value == 0) else 0.0)) / size))
    extreme = bool(np.any((value == 0) | (value == size)))
    return np.asarray(np.log((value + 0.5 * extreme) / (size - value + 0.5 * extreme)))


def _plain_design(series: PracticeSeries, *, trend: bool) -> tuple[Floats, int]:
    """Constant, trend, phase, and covariates as they were typed, so that published fits come out unscaled."""
    columns = [np.ones(series.n)]
    if trend:
        columns.append(np.arange(1.0, series.n + 1))
    columns.append(series.phase.astype(float))
    columns += list(series.covariates.T)
    return np.column_stack(columns), 2 if trend else 1


def tabled(series: PracticeSeries, *, trend: bool) -> Tabled:
    """Give the input of the sensitivity table."""
    exog, column = _plain_design(series, trend=trend)
    kind = series.kind.name
    return Tabled(
        kind=kind,
        response=_link_response(series),
        exog=exog,
        column=column,
        count=series.main.value if kind == "count" else None,
        exposure=series.main.size if kind == "count" else None,
        successes=series.main.value if kind == "success" else None,
        tries=series.main.size if kind == "success" else None,
        attempt_value=series.attempt_value if kind in ("time", "rating") else None,
        attempt_practice=series.attempt_practice if kind in ("time", "rating") else None,
    )
