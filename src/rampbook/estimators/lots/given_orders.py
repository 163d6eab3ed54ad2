"""Orders that are written out one by one, where no rule says them shorter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots.lot_set import Lots, added_up
from rampbook.estimators.lots.numbers import Floats, Integers, Orders


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenOrders(Lots):
    """The listed orders, each as likely as often as it stands there.

    Attributes
    ----------
    orders : tuple of tuple of int
        One row an order, 0 old and 1 new setting.
    """

    kind: ClassVar[str] = "given orders"
    orders: tuple[tuple[int, ...], ...]

    def __post_init__(self) -> None:
        if not self.orders or len({len(order) for order in self.orders}) != 1:
            raise DesignError("the orders that could be drawn are none, or differ in length")
        for row, order in enumerate(self.orders, start=1):
            if set(order) != {0, 1}:
                raise DesignError(f"order {row} of those that could be drawn must hold both 0 (old) and 1 (new)")

    @classmethod
    def of(cls, orders: Integers) -> GivenOrders:
        """Take the rows of a table, (l, n)."""
        return cls(orders=tuple(tuple(int(setting) for setting in order) for order in orders))

    @property
    def lengths(self) -> tuple[int, ...]:
        """How many practices there are: one athlete."""
        return (len(self.orders[0]),)

    def count(self) -> int:
        """How many orders are listed."""
        return len(self.orders)

    def sums(self, columns: Floats) -> Floats:
        """Add up each column over the practices with the new setting, for every order."""
        return added_up(self._table(), columns)

    def draw(self, draws: np.random.Generator, how_many: int) -> Orders:
        """Draw orders, (how_many, n)."""
        return self._table()[draws.integers(len(self.orders), size=how_many)]

    def holds(self, order: Integers) -> bool:
        """Whether this order is listed."""
        return len(order) == self.n and bool((self._table() == order).all(axis=1).any())

    def told(self) -> str:
        """Say which orders these are."""
        return "the orders that the plan could have drawn"

    def _table(self) -> Orders:
        return np.array(self.orders, dtype=np.int8)
