"""What every set of possible lots can do: count its orders, go through them, draw from them, and be written down."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import fields
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Orders = NDArray[np.int8]


class Lots(ABC):
    """The orders of settings that a lot could give, all of them equally likely.

    An order is a row of 0 (old setting) and 1 (new setting), one a practice; with several athletes their
    practices stand one athlete after the other. A set is a few numbers, not a list: what a plan writes down
    with ``to_dict`` is exactly what the test later goes through.
    """

    __slots__ = ()
    kind: ClassVar[str]
    drawn_by: ClassVar[str] = "the order of settings was drawn"

    @property
    @abstractmethod
    def lengths(self) -> tuple[int, ...]:
        """How many practices each athlete has."""

    @abstractmethod
    def count(self) -> int:
        """How many orders there are."""

    @abstractmethod
    def sums(self, columns: Floats) -> Floats:
        """Add up each column over the practices with the new setting, for every order.

        Parameters
        ----------
        columns : (n, q) float

        Returns
        -------
        (count, q) float
        """

    @abstractmethod
    def draw(self, draws: np.random.Generator, how_many: int) -> Orders:
        """Draw orders, (how_many, n), each anew from all of them."""

    @abstractmethod
    def holds(self, order: Integers) -> bool:
        """Whether the lot could have given this order, (n,)."""

    @abstractmethod
    def told(self) -> str:
        """Say which orders these are, in words that follow "among"."""

    @property
    def n(self) -> int:
        """How many practices an order has, over all athletes."""
        return sum(self.lengths)

    def every_order(self) -> Orders:
        """Give all orders, (count, n)."""
        return self.sums(np.eye(self.n)).astype(np.int8)

    def to_dict(self) -> dict[str, Any]:
        """Give the set as plain numbers, strings and lists, as JSON has them."""
        return {"kind": self.kind} | {part.name: _plain(getattr(self, part.name)) for part in fields(self)}  # type: ignore[arg-type]


def _plain(value: Any) -> Any:
    return [_plain(one) for one in value] if isinstance(value, tuple) else value


def added_up(orders: Orders, columns: Floats) -> Floats:
    """Add up each column over the practices with the new setting, for orders that are written out.

    Parameters
    ----------
    orders : (l, n) int8
    columns : (n, q) float

    Returns
    -------
    (l, q) float

    Notes
    -----
    Eight practices at a time are looked up in a table of the 256 sums they can have. A matrix product would need
    the orders in floating point, and threads that wait for one another on a busy machine.
    """
    total = np.zeros((columns.shape[1], len(orders)))
    for start in range(0, columns.shape[0], 8):
        packed = np.zeros(len(orders), dtype=np.uint8)
        table = np.zeros((columns.shape[1], 1))
        for practice in range(start, min(start + 8, columns.shape[0])):
            packed <<= 1
            packed |= orders[:, practice].view(np.uint8)
            table = np.stack([table, table + columns[practice, :, None]], axis=2).reshape(len(table), -1)
        total += table.take(packed, axis=1)
    return total.T


def same_row(orders: Orders, order: Integers) -> bool:
    """Whether an order is among orders that are written out."""
    return bool((orders == order).all(axis=1).any())
