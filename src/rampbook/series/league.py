"""Many series of one table at once: read, checked and summed up in one go, as `read_series` does for one.

A practice of a league is a practice of one series; all of them stand one behind the other, series by series in the
order in which the series first appear, each in order of time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from rampbook.errors import EntryError, SeriesError
from rampbook.series.columns import Columns, check_values
from rampbook.series.practices import Floats, Ints, Summaries
from rampbook.series.read import as_frame, covariate_means, known_kind, practice_clock, summaries
from rampbook.units import Kind

if TYPE_CHECKING:
    import polars as pl


OWN_COLUMNS = ("practice", "phase", "value")
ANSWERS = (
    *("estimate", "low", "high", "p", "p_adjusted", "practices", "before", "after", "attempts", "compared", "reason"),
    *("verdict", "rung"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class League:
    """The practices of S series.

    Attributes
    ----------
    kind : Kind
    keys : (S, k) polars frame
        What names each series.
    series : (N,) int
        Which series each practice belongs to; never falling.
    elapsed : (N,) float
        The clock of the correlation: days, or order units.
    phase : (N,) int
    main : Summaries
    control : Summaries or None
        The untouched series; NaN where it was not measured.
    covariates : (N, c) float
    covariate_names : tuple of str
    attempts : (S,) int
        Rows with a value.
    """

    kind: Kind
    keys: pl.DataFrame
    series: Ints
    elapsed: Floats
    phase: Ints
    main: Summaries
    control: Summaries | None
    covariates: Floats
    covariate_names: tuple[str, ...]
    attempts: Ints

    @property
    def size(self) -> int:
        """How many series there are."""
        return self.keys.height

    def count(self, marked: NDArray[np.bool_] | None = None) -> Ints:
        """Count the practices of each series, or those that are marked, (S,)."""
        rows = self.series if marked is None else self.series[marked]
        return np.bincount(rows, minlength=self.size)

    def take(self, keep: NDArray[np.bool_], *, control: bool) -> League:
        """Give some of the practices, with or without the untouched series."""
        return League(
            kind=self.kind,
            keys=self.keys,
            series=self.series[keep],
            elapsed=self.elapsed[keep],
            phase=self.phase[keep],
            main=self.main.take(keep),
            control=self.control.take(keep) if control and self.control is not None else None,
            covariates=self.covariates[keep],
            covariate_names=self.covariate_names,
            attempts=self.attempts,
        )


def read_league(table: Any, *, by: Sequence[str], kind: str, covariates: Sequence[str] = ()) -> League:
    """Give the practices of every series of a table.

    Raises
    ------
    EntryError
        When ``by`` names no column, one twice, or one of the series itself or of the answer.
    SeriesError
        As `read_series`; the row is the row of the whole table.
    """
    known = known_kind(kind, covariates)
    frame = as_frame(table)
    _check_names(by, frame.columns)
    clock = practice_clock(frame, "practice")
    columns = check_values(frame, known, tuple(covariates))
    keys, owner = _owners(frame, by)
    order, first = _practices(owner, clock)
    return _summed(known, keys, columns, order, owner[first], clock[first])


def _check_names(by: Sequence[str], columns: Sequence[str]) -> None:
    """Refuse names of a series that are no columns, stand twice, or belong to the series itself or its answer."""
    wrong = [name for name in by if name not in columns]
    if wrong or not by:
        named = ", ".join(f'"{name}"' for name in wrong) or "nothing"
        raise EntryError(f"by names {named}; the columns are {', '.join(columns)}.", field="by")
    twice = [name for at, name in enumerate(by) if name in by[:at]]
    if twice:
        raise EntryError(f'by names "{twice[0]}" twice. Name each column once.', field="by")
    taken = [name for name in by if name in OWN_COLUMNS + ANSWERS]
    if taken:
        raise EntryError(
            f'by names "{taken[0]}", which is a column of the series itself or of the answer. Rename the column that '
            "names the series.",
            field="by",
        )


def _owners(frame: pl.DataFrame, by: Sequence[str]) -> tuple[pl.DataFrame, Ints]:
    """Give what names each series, in order of first appearance; and which series each row belongs to."""
    import polars as pl

    keys = frame.select(by).unique(maintain_order=True)
    numbered = keys.with_row_index("series of the league")
    joined = frame.select(by).join(numbered, on=list(by), how="left", nulls_equal=True, maintain_order="left")
    return keys, joined["series of the league"].cast(pl.Int64).to_numpy()


def _practices(owner: Ints, clock: Floats) -> tuple[Ints, Ints]:
    """Index of each row's practice, and one row of each practice."""
    rows = np.lexsort((clock, owner))
    new = np.ones(rows.size, dtype=bool)
    new[1:] = (np.diff(owner[rows]) != 0) | (np.diff(clock[rows]) != 0)
    order = np.empty(rows.size, dtype=np.int64)
    order[rows] = np.cumsum(new) - 1
    return order, rows[new]


def _summed(kind: Kind, keys: pl.DataFrame, columns: Columns, order: Ints, series: Ints, clock: Floats) -> League:
    n = series.size
    known = np.isfinite(columns.value)
    held = np.bincount(order[known], minlength=n) > 0
    control = None
    if columns.control is not None and columns.control_size is not None:
        control = summaries(kind, columns.control, columns.control_size, order, n)
    whole = League(
        kind=kind,
        keys=keys,
        series=series,
        elapsed=clock,
        phase=_phases(columns.phase, order, n),
        main=summaries(kind, columns.value, columns.size, order, n),
        control=control,
        covariates=covariate_means(columns, order, known, n),
        covariate_names=columns.covariate_names,
        attempts=np.bincount(series[order[known]], minlength=keys.height),
    )
    return whole.take(held, control=True)


def _phases(phase: Ints, order: Ints, n: int) -> Ints:
    found = np.empty(n, dtype=np.int64)
    found[order] = phase
    clash = np.flatnonzero(found[order] != phase)
    if clash.size:
        row = int(clash[0]) + 1
        raise SeriesError(
            f"Row {row}: its practice has both phase 0 and phase 1. One practice has one setting: split the practice, "
            "or leave it out.",
            column="phase",
            row=row,
        )
    return found
