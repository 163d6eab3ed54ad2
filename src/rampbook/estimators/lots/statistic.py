"""What is compared among the lots, as sums over the practices with the new setting.

Every statistic here is a weighted sum of the values, so one set of sums gives, for each lot, both its statistic
and how far a constant effect of the new setting would move it.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots.numbers import Floats, Integers


class Statistic(ABC):
    """A statistic that is linear in the values.

    Attributes
    ----------
    columns : (n, q) float
        What is added up over the practices with the new setting.
    """

    __slots__ = ()
    columns: Floats

    @abstractmethod
    def read(self, sums: Floats) -> tuple[Floats, Floats]:
        """Give each lot's statistic, and the same statistic of the phases as practised, from its sums (l, q)."""

    @abstractmethod
    def told(self) -> str:
        """Say what is compared."""

    @property
    def parts(self) -> tuple[Floats, Floats]:
        """The values and the phases as practised, (n,), about what the statistic takes off them."""
        return self.columns[:, 0], self.columns[:, 1]

    @property
    def slack(self) -> float:
        """How much rounding may part two statistics that are equal."""
        return 1e-11 * max(float(np.abs(self.parts[0]).max()), 1e-300)

    def scatter(self, effect: float) -> float:
        """Give the largest value that is left beside this effect."""
        values, phases = self.parts
        return float(np.abs(values - effect * phases).max())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhaseDifference(Statistic):
    """Mean of the new setting minus mean of the old; over several athletes, the mean of their differences."""

    columns: Floats
    lengths: tuple[int, ...]

    @classmethod
    def of(cls, response: Floats, phase: Integers, lengths: tuple[int, ...]) -> PhaseDifference:
        """Take values and phases, (n,), athlete after athlete."""
        own = np.column_stack([response, phase, np.ones(len(phase))])
        columns = np.zeros((len(phase), 3 * len(lengths)))
        for athlete, rows in enumerate(athlete_rows(lengths)):
            block = own[rows]
            # Values and phases about their means: their sums over old and new setting then differ in sign only.
            block[:, :2] -= block[:, :2].mean(axis=0)
            columns[rows, 3 * athlete : 3 * athlete + 3] = block
        return cls(columns=columns, lengths=lengths)

    def read(self, sums: Floats) -> tuple[Floats, Floats]:
        """Give each lot's difference, and the difference of the phases as practised."""
        values, practised = np.zeros(len(sums)), np.zeros(len(sums))
        for athlete, n in enumerate(self.lengths):
            value, phase, new = sums[:, 3 * athlete : 3 * athlete + 3].T
            weight = n / (new * (n - new) * len(self.lengths))
            values += value * weight
            practised += phase * weight
        return values, practised

    @property
    def parts(self) -> tuple[Floats, Floats]:
        """The values and the phases as practised, about each athlete's mean."""
        return self.columns[:, ::3].sum(axis=1), self.columns[:, 1::3].sum(axis=1)

    def told(self) -> str:
        """Say what is compared."""
        return "difference of phase means" if len(self.lengths) == 1 else "mean of the athletes' phase differences"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BesideTrend(Statistic):
    """The change's coefficient beside a straight line over the practices (one line an athlete).

    Notes
    -----
    Each lot's coefficient is multiplied by what the line leaves of its phases, as a length, relative to the order
    as practised: its square is then what the change takes off the sum of squares. So orders that a line nearly
    follows do not win by an uncertain coefficient, and the effects not rejected form one interval.
    """

    columns: Floats
    length: float

    @classmethod
    def of(cls, response: Floats, phase: Integers, lengths: tuple[int, ...]) -> BesideTrend:
        """Take values and phases, (n,), athlete after athlete; refuse phases that a line can follow."""
        lines = np.zeros((len(phase), 2 * len(lengths)))
        for athlete, rows in enumerate(athlete_rows(lengths)):
            time = np.arange(lengths[athlete], dtype=np.float64)
            lines[rows, 2 * athlete : 2 * athlete + 2] = np.linalg.qr(np.column_stack([np.ones_like(time), time]))[0]
        own = np.column_stack([response, phase]).astype(np.float64)
        left = own - lines @ (lines.T @ own)
        length = float(np.linalg.norm(left[:, 1]))
        if length < 1e-6:
            raise DesignError("a straight line over the practices follows the settings exactly: leave out the trend")
        return cls(columns=np.column_stack([left, np.ones(len(phase)), lines]), length=length)

    def read(self, sums: Floats) -> tuple[Floats, Floats]:
        """Give each lot's scaled coefficient, and that of the phases as practised."""
        squared = sums[:, 2] - np.sum(sums[:, 3:] ** 2, axis=1)
        length = np.where(squared > 1e-9, np.sqrt(np.maximum(squared, 1e-9)), np.inf) * self.length
        return sums[:, 0] / length, sums[:, 1] / length

    def told(self) -> str:
        """Say what is compared."""
        return "the change beside a straight line, by what it takes off the sum of squares,"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeanOfPairs(Statistic):
    """The mean of paired differences, each with the sign that a lot gave it."""

    columns: Floats
    recorded: Floats

    @classmethod
    def of(cls, differences: Floats) -> MeanOfPairs:
        """Take the differences as recorded, (n,)."""
        columns = np.column_stack([differences, np.ones(len(differences))])
        return cls(columns=columns, recorded=columns.mean(axis=0))

    def read(self, sums: Floats) -> tuple[Floats, Floats]:
        """Give each lot's mean difference, and the mean of its signs."""
        means = sums * (2 / len(self.columns)) - self.recorded
        return means[:, 0], means[:, 1]

    def told(self) -> str:
        """Say what is compared."""
        return "mean of paired differences"


def athlete_rows(lengths: tuple[int, ...]) -> list[slice]:
    """Give the rows of each athlete where their practices stand one athlete after the other."""
    ends = np.cumsum(lengths)
    return [slice(int(end) - length, int(end)) for end, length in zip(ends, lengths, strict=True)]
