"""Sign flips: within each pair of practices the lot said which had the new setting."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots.lot_set import Lots
from rampbook.estimators.lots.numbers import Floats, Integers, Orders, Packed
from rampbook.estimators.lots.packed import random_bits, unpack


@dataclass(frozen=True, slots=True, kw_only=True)
class SignFlips(Lots):
    """All ways the signs of paired differences could have fallen: 1 as recorded, 0 turned over.

    Attributes
    ----------
    pairs : int
        How many pairs there are.
    """

    kind: ClassVar[str] = "sign flips"
    drawn_by: ClassVar[str] = "each pair was allotted"
    pairs: int

    def __post_init__(self) -> None:
        if self.pairs < 1:
            raise DesignError(f"there are {self.pairs} pairs: there is no pair to compare")

    @property
    def lengths(self) -> tuple[int, ...]:
        """How many differences there are."""
        return (self.pairs,)

    def count(self) -> int:
        """How many ways there are: two for each pair."""
        return int(2**self.pairs)

    def sums(self, columns: Floats) -> Floats:
        """Add up each column over the pairs as recorded, for every way; the list doubles once a pair."""
        total = np.zeros((1, columns.shape[1]))
        for row in columns:
            total = np.concatenate([total, total + row])
        return total

    def draw(self, draws: np.random.Generator, how_many: int) -> Orders:
        """Draw ways, (how_many, pairs)."""
        return unpack(self.draw_packed(draws, how_many), self.pairs)

    def draw_packed(self, draws: np.random.Generator, how_many: int) -> Packed:
        """Draw ways, packed."""
        return random_bits(draws, self.pairs, how_many)

    def holds(self, order: Integers) -> bool:
        """Whether this is a row of 0 and 1, one a pair."""
        return len(order) == self.pairs and bool(np.isin(order, (0, 1)).all())

    def told(self) -> str:
        """Say which ways these are."""
        return "all ways their signs could fall"
