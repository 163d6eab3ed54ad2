"""Random moments: the settings come in a fixed order, and the practices at which they change are drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots.lot_set import Lots
from rampbook.estimators.lots.numbers import Floats, Integers, Orders
from rampbook.estimators.lots.subsets import draw_subsets, subset_places


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments(Lots):
    """All sets of moments of change that leave no phase shorter than asked.

    Attributes
    ----------
    practices : int
        How many practices there are.
    shortest : tuple of int
        The fewest practices of each phase, in order; as many phases as numbers.
    first : int
        The setting of the first phase: 0 old, 1 new.
    """

    kind: ClassVar[str] = "moments"
    drawn_by: ClassVar[str] = "the moment of change was drawn"
    practices: int
    shortest: tuple[int, ...]
    first: int = 0

    def __post_init__(self) -> None:
        if len(self.shortest) < 2 or min(self.shortest) < 1:
            raise DesignError(
                f"the shortest phases are {list(self.shortest)}: give at least two, each of one practice or more"
            )
        if self.first not in (0, 1):
            raise DesignError(f"the first setting is {self.first}: it must be 0 (old) or 1 (new)")
        if self._spare < 0:
            raise DesignError(
                f"{self.practices} practices are too few for phases of {list(self.shortest)}; "
                f"{sum(self.shortest)} are needed"
            )

    @property
    def _spare(self) -> int:
        return self.practices - sum(self.shortest)

    @property
    def lengths(self) -> tuple[int, ...]:
        """How many practices there are: one athlete."""
        return (self.practices,)

    def count(self) -> int:
        """How many sets of moments there are: the spare practices shared out over the phases."""
        changes = len(self.shortest) - 1
        return math.comb(self._spare + changes, changes)

    def sums(self, columns: Floats) -> Floats:
        """Add up each column over the practices with the new setting, for every order."""
        changes = len(self.shortest) - 1
        places = subset_places(self._spare + changes, changes)
        before = np.vstack([np.zeros(columns.shape[1]), np.cumsum(columns, axis=0)])
        ends = [*before[self._moments(places)].swapaxes(0, 1), before[-1]]
        total = np.zeros((len(places), columns.shape[1]))
        for phase, end in enumerate(ends):
            if (self.first + phase) % 2:
                total += end - ends[phase - 1] if phase else end
        return total

    def draw(self, draws: np.random.Generator, how_many: int) -> Orders:
        """Draw orders, (how_many, n)."""
        changes = len(self.shortest) - 1
        bars = draw_subsets(draws, self._spare + changes, changes, how_many)
        moments = self._moments(np.nonzero(bars)[1].reshape(how_many, changes))
        turns = np.zeros((how_many, self.practices), dtype=np.int8)
        turns[:, 0] = self.first
        np.put_along_axis(turns, moments, 1, axis=1)
        return np.bitwise_xor.accumulate(turns, axis=1)

    def _moments(self, bars: Integers) -> Integers:
        """Turn bars among the spare practices into the first practice of each later phase."""
        earlier = np.cumsum(self.shortest[:-1])
        return np.asarray(bars - np.arange(bars.shape[1]) + earlier, dtype=np.int64)

    def holds(self, order: Integers) -> bool:
        """Whether the lot could have given this order."""
        lengths = phase_lengths(order)
        return (
            len(order) == self.practices
            and int(order[0]) == self.first
            and len(lengths) == len(self.shortest)
            and all(length >= least for length, least in zip(lengths, self.shortest, strict=True))
        )

    def told(self) -> str:
        """Say which orders these are."""
        changes = len(self.shortest) - 1
        moments = "1 moment" if changes == 1 else f"{changes} moments"
        alike = len(set(self.shortest)) == 1
        least = f"{self.shortest[0]} or more" if alike else f"at least {', '.join(map(str, self.shortest))}"
        return f"all sets of {moments} that leave phases of {least}"


def random_start(practices: int, *, before: int = 5, after: int = 5) -> Moments:
    """Give the lots of one change whose moment is drawn, with a shortest phase on either side."""
    return Moments(practices=practices, shortest=(before, after))


def count_moments(n: int, phases: int, shortest: int) -> int:
    """How many ways n practices split into so many phases, none shorter than ``shortest``."""
    spare = n - phases * shortest
    return math.comb(spare + phases - 1, phases - 1) if spare >= 0 else 0


def phase_lengths(phase: Integers) -> list[int]:
    """How many practices each unbroken phase has, in order."""
    turns = np.flatnonzero(np.diff(phase)) + 1
    return [int(length) for length in np.diff([0, *turns, len(phase)])]
