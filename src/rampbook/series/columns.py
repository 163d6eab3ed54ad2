"""The columns of a series as numbers, each checked against the contract."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from rampbook.errors import SeriesError
from rampbook.series.practices import Floats, Ints
from rampbook.units import RATING_HIGH, RATING_LOW, Kind

if TYPE_CHECKING:
    import polars as pl


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The rows of a series, (m,) each; a missing value is NaN."""

    phase: Ints
    value: Floats
    size: Floats
    finished: NDArray[np.bool_]
    control: Floats | None
    control_size: Floats | None
    unaffected: Floats | None
    unaffected_size: Floats | None
    covariates: Floats
    covariate_names: tuple[str, ...]


def present(values: Floats) -> bool:
    """Whether anything was measured."""
    return bool(np.any(np.isfinite(values)))


def column_of(frame: pl.DataFrame, name: str) -> list[Any]:
    """Give a required column as a list.

    Raises
    ------
    SeriesError
        When the column is not there, or there are no rows.
    """
    if name not in frame.columns:
        raise SeriesError(
            f'There is no column "{name}"; the columns are {", ".join(frame.columns) or "none"}. A series needs '
            "practice, phase and value.",
            column=name,
        )
    if frame.height == 0:
        raise SeriesError("The table has no rows. Give one row a practice, or one row an attempt.")
    return frame[name].to_list()


def numbers(frame: pl.DataFrame, name: str) -> Floats:
    """Give a column as floats, empty cells as NaN; a decimal comma is read as a point."""
    if name in frame.columns and frame.height and frame[name].dtype.is_numeric():
        return _typed_numbers(frame, name)
    values = [_number(value, name, row) for row, value in enumerate(column_of(frame, name), start=1)]
    return np.array(values, dtype=float)


def _typed_numbers(frame: pl.DataFrame, name: str) -> Floats:
    """Give a column that holds numbers already: the same answer as cell by cell, a hundred times sooner."""
    import polars as pl

    found = np.array(frame[name].cast(pl.Float64).fill_null(float("nan")).to_numpy(), dtype=float)
    _refuse(found, np.isinf(found), name, "a number")
    return found


def _number(value: Any, name: str, row: int) -> float:
    text = str(value).strip() if value is not None else ""
    if text == "" or text.lower() in ("nan", "na", "none", "null"):
        return float("nan")
    try:
        number = float(value) if isinstance(value, (int, float)) else float(text.replace(",", "."))
    except ValueError:
        number = float("inf")
    if not np.isfinite(number):
        raise _bad(name, row, text, "a number")
    return number


def _bad(name: str, row: int, value: object, expected: str) -> SeriesError:
    shown = f"{value:g}" if isinstance(value, float) else str(value)
    shown = "empty" if shown in ("", "nan") else f'"{shown}"'
    return SeriesError(
        f"Row {row}, {name} is {shown}: it must be {expected}. Correct the cell and try again.", column=name, row=row
    )


def _refuse(values: Floats, wrong: NDArray[np.bool_], name: str, expected: str) -> None:
    if np.any(wrong):
        row = int(np.argmax(wrong))
        raise _bad(name, row + 1, float(values[row]), expected)


def check_values(frame: pl.DataFrame, kind: Kind, covariates: tuple[str, ...]) -> Columns:
    """Give the checked columns of a frame.

    Raises
    ------
    SeriesError
        With column and row where a value does not fit.
    """
    phase = numbers(frame, "phase")
    _refuse(phase, ~np.isin(phase, (0.0, 1.0)), "phase", "0 (old setting) or 1 (new setting)")
    value = numbers(frame, "value")
    size = _sizes(frame, kind, value, "exposure", "tries")
    _check_range(value, size, kind, "value")
    control, control_size = _beside(frame, kind, "control")
    unaffected, unaffected_size = _beside(frame, kind, "unaffected")
    return Columns(
        phase=phase.astype(np.int64),
        value=value,
        size=size,
        finished=_finished(frame, kind, value.size),
        control=control,
        control_size=control_size,
        unaffected=unaffected,
        unaffected_size=unaffected_size,
        covariates=_covariates(frame, covariates, np.isfinite(value)),
        covariate_names=covariates,
    )


def _beside(frame: pl.DataFrame, kind: Kind, name: str) -> tuple[Floats | None, Floats | None]:
    """Values and sizes of a second outcome of the same kind, or None twice where it has no column."""
    if name not in frame.columns:
        return None, None
    value = numbers(frame, name)
    size = _sizes(frame, kind, value, f"{name}_exposure", f"{name}_tries")
    _check_range(value, size, kind, name)
    return value, size


def _sizes(frame: pl.DataFrame, kind: Kind, value: Floats, exposure: str, tries: str) -> Floats:
    known = np.isfinite(value)
    if kind.name == "count" and exposure in frame.columns:
        size = numbers(frame, exposure)
        _refuse(size, known & ~(size > 0), exposure, "above 0 wherever there is a count")
        return size
    if kind.name == "success":
        size = numbers(frame, tries)
        _refuse(size, known & ~(size > 0), tries, "above 0 wherever there are successes")
        return size
    return np.ones(value.size)


def _check_range(value: Floats, size: Floats, kind: Kind, name: str) -> None:
    known = np.isfinite(value)
    if kind.name == "time":
        _refuse(value, known & ~(value > 0), name, "seconds above 0")
    elif kind.name == "count":
        _refuse(value, known & ((value < 0) | (value != np.round(value))), name, "a whole number, 0 or more")
    elif kind.name == "rating":
        _refuse(value, known & ((value < RATING_LOW) | (value > RATING_HIGH)), name, "a rating from 0 to 10")
    else:
        wrong = known & ((value < 0) | (value > size) | (value != np.round(value)))
        _refuse(value, wrong, name, "a whole number from 0 to the number of tries")


def _finished(frame: pl.DataFrame, kind: Kind, n_rows: int) -> NDArray[np.bool_]:
    if kind.name != "time" or "finished" not in frame.columns:
        return np.ones(n_rows, dtype=bool)
    finished = numbers(frame, "finished")
    _refuse(finished, np.isfinite(finished) & ~np.isin(finished, (0.0, 1.0)), "finished", "1 (finished) or 0 (not)")
    return np.asarray(finished != 0.0)


def _covariates(frame: pl.DataFrame, names: tuple[str, ...], known: NDArray[np.bool_]) -> Floats:
    columns = [numbers(frame, name) for name in names]
    for name, column in zip(names, columns, strict=True):
        _refuse(column, known & ~np.isfinite(column), name, "known at every practice, since it is a covariate")
    return np.column_stack(columns) if columns else np.empty((known.size, 0))
