"""Alternating in blocks: each block of practices holds both settings equally often, in an order that is drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots.lot_set import Lots
from rampbook.estimators.lots.numbers import Floats, Integers, Orders
from rampbook.estimators.lots.subsets import draw_subsets, subset_sums


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocks(Lots):
    """All orders in which every block has each setting equally often.

    Attributes
    ----------
    blocks : int
        How many blocks there are.
    size : int
        Practices in a block, an even number; in a block of 2 each setting comes once.
    """

    kind: ClassVar[str] = "blocks"
    blocks: int
    size: int = 2

    def __post_init__(self) -> None:
        if self.blocks < 1:
            raise DesignError(f"{self.blocks} blocks were asked for: at least one is needed")
        if self.size < 2 or self.size % 2:
            raise DesignError(f"a block of {self.size} cannot hold both settings equally often: give an even number")

    @property
    def lengths(self) -> tuple[int, ...]:
        """How many practices there are: one athlete."""
        return (self.blocks * self.size,)

    def count(self) -> int:
        """How many orders there are: those of one block, to the power of the blocks."""
        return int(math.comb(self.size, self.size // 2) ** self.blocks)

    def sums(self, columns: Floats) -> Floats:
        """Add up each column over the practices with the new setting, for every order."""
        total = np.zeros((1, columns.shape[1]))
        for block in columns.reshape(self.blocks, self.size, -1):
            ways = subset_sums(block, self.size // 2)
            total = (total[:, None, :] + ways).reshape(-1, columns.shape[1])
        return total

    def draw(self, draws: np.random.Generator, how_many: int) -> Orders:
        """Draw orders, (how_many, n)."""
        each = draw_subsets(draws, self.size, self.size // 2, how_many * self.blocks)
        return each.reshape(how_many, self.n)

    def holds(self, order: Integers) -> bool:
        """Whether the lot could have given this order."""
        return len(order) == self.n and bool(
            (np.asarray(order).reshape(self.blocks, self.size).sum(axis=1) == self.size // 2).all()
        )

    def told(self) -> str:
        """Say which orders these are."""
        often = "once" if self.size == 2 else f"{self.size // 2} times"
        return f"all orders with each setting {often} in every block of {self.size} practices"
