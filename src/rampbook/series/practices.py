"""One series: one athlete, one drive profile, one outcome, summed up practice by practice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from rampbook.units import Kind

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Summaries:
    """Practice summaries of one measured series.

    Attributes
    ----------
    value : (n,) float
        Mean log seconds, count, mean rating, or successes of each practice.
    size : (n,) float
        Number of attempts (times, ratings), exposure (counts), or tries (successes); above 0.
    """

    value: Floats
    size: Floats

    def take(self, keep: NDArray[np.bool_]) -> Summaries:
        """Give the summaries of the practices that ``keep`` marks."""
        return Summaries(value=self.value[keep], size=self.size[keep])


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Where the practices without a value stand, in order of time.

    Attributes
    ----------
    elapsed : (k,) float
        On the clock of the series.
    phase : (k,) int
        0 with the old setting, 1 with the new one.
    covariates : (k, c) float
        Declared covariates; NaN where not known.
    """

    elapsed: Floats
    phase: Ints
    covariates: Floats

    @property
    def n(self) -> int:
        """How many practices are missing."""
        return int(self.elapsed.size)


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeSeries:
    """The practices of one series in order of time.

    Attributes
    ----------
    kind : Kind
        What was measured.
    labels : tuple of str
        The practice as it was named: an ISO date or a whole number.
    dates : tuple of date or None
        The days, where practices are named by date.
    elapsed : (n,) float
        Days (or order units) since the first practice: the clock of the correlation.
    phase : (n,) int
        0 with the old setting, 1 with the new one.
    main : Summaries
        The series itself.
    control : Summaries or None
        The untouched series at the same practices; NaN where it was not measured.
    covariates : (n, c) float
        Declared covariates, one column each, named by ``covariate_names``.
    attempt_value, attempt_practice, attempt_finished : (m,)
        The single attempts: value as typed, index of their practice, and whether they were finished.
    n_missing : int
        Practices that were held but gave no value.
    missing : Missing or None
        Where they stand, with those that a comparison leaves out; None where nothing is missing.
    unaffected : PracticeSeries or None
        An outcome of the same athlete that the change cannot affect.
    """

    kind: Kind
    labels: tuple[str, ...]
    dates: tuple[date | None, ...]
    elapsed: Floats
    phase: Ints
    main: Summaries
    control: Summaries | None
    covariates: Floats
    covariate_names: tuple[str, ...]
    attempt_value: Floats
    attempt_practice: Ints
    attempt_finished: NDArray[np.bool_]
    n_missing: int
    missing: Missing | None = None
    unaffected: PracticeSeries | None = None

    @property
    def n(self) -> int:
        """How many practices gave a value."""
        return len(self.labels)

    @property
    def n_before(self) -> int:
        """How many practices were held with the old setting."""
        return int(np.sum(self.phase == 0))

    @property
    def n_after(self) -> int:
        """How many practices were held with the new setting."""
        return int(np.sum(self.phase == 1))

    @property
    def gaps(self) -> Floats:
        """Elapsed time before each practice in units of the typical (median) gap; the first is 1. Shape (n,)."""
        if self.n < 2:
            return np.ones(self.n)
        steps = np.diff(self.elapsed)
        return np.concatenate([[1.0], steps / np.median(steps)])

    @property
    def crossings(self) -> Ints:
        """Index of the first practice after each change of phase."""
        return np.flatnonzero(np.diff(self.phase) != 0).astype(np.int64) + 1

    @property
    def phase_lengths(self) -> tuple[int, ...]:
        """How many practices each unbroken phase holds, in order of time."""
        edges = np.concatenate([[0], self.crossings, [self.n]])
        return tuple(int(length) for length in np.diff(edges) if length)
