"""Free alternation: so many practices of each setting in any order, or in any without a long run of one setting."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots.lot_set import Lots, added_up
from rampbook.estimators.lots.moments import phase_lengths
from rampbook.estimators.lots.numbers import Floats, Integers, Orders, Packed
from rampbook.estimators.lots.packed import pack, unpack
from rampbook.estimators.lots.packed_draw import MOST_PLACES, draw_packed_subsets
from rampbook.estimators.lots.runs import ways_left
from rampbook.estimators.lots.subsets import draw_subsets, subset_sums

# Counting goes from run to run, each within the last, as deep as there may be runs.
MOST_WITH_RUNS = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeOrder(Lots):
    """All orders with so many practices of each setting.

    Attributes
    ----------
    old, new : int
        Practices with the old and with the new setting.
    longest_run : int, optional
        The most practices in a row that one setting may have; no limit when left out.
    """

    kind: ClassVar[str] = "free order"
    old: int
    new: int
    longest_run: int | None = None

    def __post_init__(self) -> None:
        if min(self.old, self.new) < 1:
            raise DesignError(
                f"{self.old} practices of the old and {self.new} of the new setting: each needs at least one"
            )
        if self.longest_run is not None and self.n > MOST_WITH_RUNS:
            raise DesignError(
                f"{self.n} practices are too many to count orders without long runs; "
                f"the most is {MOST_WITH_RUNS}: leave out the longest run"
            )
        if self.longest_run is not None and (self.longest_run < 1 or self.count() == 0):
            raise DesignError(
                f"no order of {self.old} practices of the old and {self.new} of the new setting has runs of at most "
                f"{self.longest_run}: allow longer runs"
            )

    @property
    def lengths(self) -> tuple[int, ...]:
        """How many practices there are: one athlete."""
        return (self.old + self.new,)

    def count(self) -> int:
        """How many orders there are."""
        if self.longest_run is None:
            return math.comb(self.n, self.new)
        return ways_left(self.old, self.new, 0, 0, self.longest_run)

    def sums(self, columns: Floats) -> Floats:
        """Add up each column over the practices with the new setting, for every order."""
        if self.longest_run is None:
            return subset_sums(columns, self.new)
        return added_up(self._orders_with_short_runs(self.longest_run), columns)

    def draw(self, draws: np.random.Generator, how_many: int) -> Orders:
        """Draw orders, (how_many, n)."""
        if self._is_short:
            return draws.permutation(unpack(self.draw_packed(draws, how_many), self.n))
        if self.longest_run is None:
            return draw_subsets(draws, self.n, self.new, how_many)
        return self._draw_with_short_runs(self.longest_run, draws, how_many)

    def draw_packed(self, draws: np.random.Generator, how_many: int) -> Packed:
        """Draw orders, packed."""
        if self._is_short:
            return draw_packed_subsets(draws, self.n, self.new, how_many)
        return pack(self.draw(draws, how_many))

    @property
    def _is_short(self) -> bool:
        return self.longest_run is None and self.n <= MOST_PLACES

    def holds(self, order: Integers) -> bool:
        """Whether the lot could have given this order."""
        counted = (int(np.sum(np.equal(order, 0))), int(np.sum(np.equal(order, 1))))
        short = self.longest_run is None or max(phase_lengths(order)) <= self.longest_run
        return len(order) == self.n and counted == (self.old, self.new) and short

    def told(self) -> str:
        """Say which orders these are."""
        runs = "" if self.longest_run is None else f" and at most {self.longest_run} of one setting in a row"
        return f"all orders with {self.old} practices of the old and {self.new} of the new setting{runs}"

    def _orders_with_short_runs(self, longest: int) -> Orders:
        """Lengthen every beginning by each setting that still leaves a way to the end."""
        begun: list[tuple[tuple[int, ...], int, int, int, int]] = [((), self.old, self.new, 0, 0)]
        for _ in range(self.n):
            begun = [
                ((*order, setting), old, new, setting, run)
                for order, *state in begun
                for setting in (0, 1)
                for old, new, run in [_after(setting, *state)]
                if old >= 0 and new >= 0 and run <= longest and ways_left(old, new, setting, run, longest)
            ]
        return np.array([order for order, *_ in begun], dtype=np.int8)

    def _draw_with_short_runs(self, longest: int, draws: np.random.Generator, how_many: int) -> Orders:
        """Draw setting after setting, each with its share of the orders that are still open."""
        orders = np.zeros((how_many, self.n), dtype=np.int8)
        states = {(self.old, self.new, 0, 0): np.arange(how_many)}
        for practice in range(self.n):
            later: dict[tuple[int, int, int, int], list[Integers]] = {}
            for (old, new, last, run), rows in states.items():
                chance = _share_of_new(old, new, last, run, longest)
                is_new = draws.random(len(rows)) < chance
                orders[rows, practice] = is_new
                for setting, some in ((0, rows[~is_new]), (1, rows[is_new])):
                    if len(some):
                        left_old, left_new, now = _after(setting, old, new, last, run)
                        later.setdefault((left_old, left_new, setting, now), []).append(some)
            states = {state: np.concatenate(rows) for state, rows in later.items()}
        return orders


def _after(setting: int, old: int, new: int, last: int, run: int) -> tuple[int, int, int]:
    """Practices left of each setting, and the run so far, once one more practice has this setting."""
    return old - (setting == 0), new - (setting == 1), run + 1 if setting == last and run else 1


def _share_of_new(old: int, new: int, last: int, run: int, longest: int) -> float:
    """Share of the orders still open that go on with the new setting."""
    ways = []
    for setting in (0, 1):
        left_old, left_new, now = _after(setting, old, new, last, run)
        ways.append(ways_left(left_old, left_new, setting, now, longest))
    return ways[1] / sum(ways)
