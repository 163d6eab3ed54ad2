"""Read a table of practices by the column contract of a series, and sum it up practice by practice.

Columns: ``practice`` (ISO date or whole number), ``phase`` (0 old, 1 new), ``value``; optional ``exposure``
(counts), ``tries`` (successes), ``finished`` (times), ``control``, ``control_exposure``, ``control_tries`` (the
untouched series), ``unaffected``, ``unaffected_exposure``, ``unaffected_tries`` (an outcome that the change cannot
affect), and declared covariates. One row a practice, or one row an attempt when ``practice`` repeats.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from rampbook.errors import SeriesError
from rampbook.series.columns import Columns, check_values, column_of, present
from rampbook.series.practices import Floats, Ints, Missing, PracticeSeries, Summaries
from rampbook.units import KINDS, Kind

if TYPE_CHECKING:
    import polars as pl


def as_frame(table: Any) -> pl.DataFrame:
    """Give a polars frame of a polars or pandas frame, an Arrow table, or anything with the interchange protocol."""
    import polars as pl

    if isinstance(table, pl.DataFrame):
        return table
    if isinstance(table, pl.LazyFrame):
        return table.collect()
    if hasattr(table, "__arrow_c_stream__"):
        return pl.DataFrame(table)
    if hasattr(table, "__dataframe__"):
        return pl.from_dataframe(table)
    raise SeriesError(
        f"A {type(table).__name__} is not a table. Give a polars or pandas frame, an Arrow table, or any frame with "
        "the dataframe interchange protocol."
    )


def read_series(table: Any, *, kind: str, covariates: Sequence[str] = ()) -> PracticeSeries:
    """Give the practices of a table.

    Parameters
    ----------
    table : frame
        As `as_frame` takes it.
    kind : str
        time, count, rating or success.
    covariates : sequence of str
        Names of numeric columns to be declared as covariates.

    Raises
    ------
    SeriesError
        With column and row (1 is the first row of values) where a value does not fit.
    """
    known = known_kind(kind, covariates)
    frame = as_frame(table)
    order, labels, dates, clock = _practice_order(column_of(frame, "practice"))
    columns = check_values(frame, known, tuple(covariates))
    series = _summarise(known, columns, order, labels, dates, clock)
    beside = _unaffected(columns)
    if beside is None:
        return series
    return replace(series, unaffected=_summarise(known, beside, order, labels, dates, clock))


def known_kind(kind: str, covariates: Sequence[str]) -> Kind:
    """Give the kind of that name.

    Raises
    ------
    SeriesError
        When there is none, or a covariate is part of the series itself.
    """
    if kind not in KINDS:
        raise SeriesError(f'Kind "{kind}" is not known. Choose one of {", ".join(KINDS)}.')
    taken = sorted({"practice", "phase", "value"} & set(covariates))
    if taken:
        raise SeriesError(f'"{taken[0]}" cannot be a covariate: it is part of the series itself.', column=taken[0])
    return KINDS[kind]


def _unaffected(columns: Columns) -> Columns | None:
    """Put the unaffected outcome in the place of the outcome itself; rows without a covariate have no value."""
    if columns.unaffected is None or columns.unaffected_size is None or not present(columns.unaffected):
        return None
    known = np.all(np.isfinite(columns.covariates), axis=1)
    return replace(
        columns,
        value=np.where(known, columns.unaffected, np.nan),
        size=columns.unaffected_size,
        finished=np.ones(columns.finished.size, dtype=bool),
        control=None,
        control_size=None,
    )


def _practice_order(values: list[Any]) -> tuple[Ints, list[str], list[date | None], Floats]:
    """Index of each row's practice in order of time, and label, day and clock of each practice."""
    parsed = [_practice_key(value, row) for row, value in enumerate(values, start=1)]
    if len({isinstance(key, date) for key in parsed}) > 1:
        raise _mixed()
    keys: list[Any] = sorted(set(parsed))
    index = {key: i for i, key in enumerate(keys)}
    if keys and isinstance(keys[0], date):
        clock = np.array([(key - keys[0]).days for key in keys], dtype=float)
        labels, dates = [key.isoformat() for key in keys], list(keys)
    else:
        clock = np.array([key - keys[0] for key in keys], dtype=float)
        labels, dates = [str(key) for key in keys], [None] * len(keys)
    return np.array([index[key] for key in parsed], dtype=np.int64), labels, dates, clock


def practice_clock(frame: pl.DataFrame, name: str) -> Floats:
    """Give the clock of every row: days of a date, or the whole number.

    Raises
    ------
    SeriesError
        Where a cell is neither, or the column mixes the two.
    """
    import polars as pl

    values = column_of(frame, name) if name not in frame.columns or frame.height == 0 else frame[name]
    if isinstance(values, pl.Series) and values.null_count() == 0:
        if values.dtype.is_integer():
            return values.cast(pl.Float64).to_numpy()
        if values.dtype == pl.Date:
            return values.to_physical().cast(pl.Float64).to_numpy()
    keys = [_practice_key(value, row) for row, value in enumerate(values, start=1)]
    if len({isinstance(key, date) for key in keys}) > 1:
        raise _mixed()
    return np.array([key.toordinal() if isinstance(key, date) else key for key in keys], dtype=float)


def _mixed() -> SeriesError:
    return SeriesError("Column practice mixes dates and numbers. Use one or the other in every row.", column="practice")


def _practice_key(value: Any, row: int) -> date | int:
    if hasattr(value, "date") and callable(value.date):
        return value.date()  # type: ignore[no-any-return]
    if isinstance(value, date):
        return value
    if isinstance(value, (int, float)) and not isinstance(value, bool) and float(value).is_integer():
        return int(value)
    text = str(value).strip() if value is not None else ""
    try:
        return int(text) if text.lstrip("-").isdigit() else date.fromisoformat(text[:10])
    except ValueError:
        raise SeriesError(
            f'Row {row}, practice is "{text}": it must be an ISO date such as 2026-03-05, or a whole number that gives '
            "the order. Correct it and try again.",
            column="practice",
            row=row,
        ) from None


def _summarise(
    kind: Kind, columns: Columns, order: Ints, labels: list[str], dates: list[date | None], clock: Floats
) -> PracticeSeries:
    n = len(labels)
    phase = _phase_of_practice(columns.phase, order, labels)
    known = np.isfinite(columns.value)
    rows = order[known]
    held = np.bincount(rows, minlength=n) > 0
    main = summaries(kind, columns.value, columns.size, order, n)
    control = None
    if columns.control is not None and columns.control_size is not None:
        control = summaries(kind, columns.control, columns.control_size, order, n)
        control = control.take(held)
    renumber = np.cumsum(held) - 1
    return PracticeSeries(
        kind=kind,
        labels=tuple(label for label, keep in zip(labels, held, strict=True) if keep),
        dates=tuple(day for day, keep in zip(dates, held, strict=True) if keep),
        elapsed=clock[held],
        phase=phase[held],
        main=main.take(held),
        control=control,
        covariates=covariate_means(columns, order, known, n)[held],
        covariate_names=columns.covariate_names,
        attempt_value=columns.value[known],
        attempt_practice=renumber[rows],
        attempt_finished=columns.finished[known],
        n_missing=int(np.sum(~held)),
        missing=_missing(columns, order, held, clock, phase),
    )


def _missing(columns: Columns, order: Ints, held: NDArray[np.bool_], clock: Floats, phase: Ints) -> Missing | None:
    if np.all(held):
        return None
    known = np.all(np.isfinite(columns.covariates), axis=1)
    covariates = covariate_means(columns, order, known, held.size)
    covariates[np.bincount(order[known], minlength=held.size) == 0] = np.nan
    return Missing(elapsed=clock[~held], phase=phase[~held], covariates=covariates[~held])


def _phase_of_practice(phase: Ints, order: Ints, labels: list[str]) -> Ints:
    first = np.full(len(labels), -1, dtype=np.int64)
    first[order] = phase
    clash = np.flatnonzero(first[order] != phase)
    if clash.size:
        row = int(clash[0])
        raise SeriesError(
            f"Practice {labels[order[row]]} has both phase 0 and phase 1 (row {row + 1}). One practice has one "
            "setting: "
            "split the practice, or leave it out.",
            column="phase",
            row=row + 1,
        )
    return first


def summaries(kind: Kind, value: Floats, size: Floats, order: Ints, n: int) -> Summaries:
    """Sum up rows by practice; unmeasured practices are NaN."""
    known = np.isfinite(value)
    rows, y, weight = order[known], value[known], size[known]
    if kind.name in ("count", "success"):
        total = np.asarray(np.bincount(rows, weights=y, minlength=n), dtype=float)
        exposure = np.asarray(np.bincount(rows, weights=weight, minlength=n), dtype=float)
    else:
        exposure = np.bincount(rows, minlength=n).astype(float)
        shown = np.log(y) if kind.name == "time" else y
        total = np.bincount(rows, weights=shown, minlength=n) / np.where(exposure > 0, exposure, np.nan)
    measured = np.bincount(rows, minlength=n) > 0
    return Summaries(value=np.where(measured, total, np.nan), size=np.where(measured, exposure, np.nan))


def covariate_means(columns: Columns, order: Ints, known: Any, n: int) -> Floats:
    """Give the mean of every covariate over the rows with a value, practice by practice, (n, c)."""
    out = np.empty((n, len(columns.covariate_names)))
    rows = order[known]
    held = np.maximum(np.bincount(rows, minlength=n), 1)
    for j in range(out.shape[1]):
        out[:, j] = np.bincount(rows, weights=columns.covariates[known, j], minlength=n) / held
    return out


def has_control(series: PracticeSeries) -> bool:
    """Whether an untouched series was measured at all."""
    return series.control is not None and present(series.control.value)
