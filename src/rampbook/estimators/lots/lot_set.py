"""What every set of possible lots can do: count its orders, go through them, draw from them, and be written down."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import fields
from typing import Any, ClassVar

import numpy as np

from rampbook.estimators.lots.numbers import Floats, Integers, Orders, Packed
from rampbook.estimators.lots.packed import pack, packed_sums


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

    def draw_packed(self, draws: np.random.Generator, how_many: int) -> Packed:
        """Draw orders as ``draw`` does, packed, and sorted in any way: what is counted over them all stays the same."""
        return pack(self.draw(draws, how_many))

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
    """Add up each column, (n, q), over the practices with the new setting, for orders written out, (l, n)."""
    return packed_sums(pack(orders), columns)
