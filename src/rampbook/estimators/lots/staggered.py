"""Staggered athletes: each changes once, at a start that the lot gave out among them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots.lot_set import Lots
from rampbook.estimators.lots.numbers import Floats, Integers, Orders


@dataclass(frozen=True, slots=True, kw_only=True)
class StaggeredStarts(Lots):
    """All ways to give each athlete one of the starts, each start to one athlete.

    Attributes
    ----------
    practices : tuple of int
        How many practices each athlete has.
    starts : tuple of int
        Practices with the old setting before the new one begins. As many as athletes, or more: then some stay
        unused. A start may stand there twice when all are used, so that two athletes begin together.
    """

    kind: ClassVar[str] = "staggered starts"
    drawn_by: ClassVar[str] = "each athlete's start was drawn"
    practices: tuple[int, ...]
    starts: tuple[int, ...]

    def __post_init__(self) -> None:
        athletes = len(self.practices)
        if athletes < 1 or len(self.starts) < athletes:
            raise DesignError(f"{athletes} athletes and {len(self.starts)} starts: each athlete needs one of them")
        if min(self.starts) < 1 or max(self.starts) >= min(self.practices):
            raise DesignError(
                f"the starts are {list(self.starts)}: each must leave one practice or more on either side, "
                f"so from 1 to {min(self.practices) - 1}"
            )
        if len(self.starts) > athletes and len(set(self.starts)) < len(self.starts):
            raise DesignError(
                f"the starts {list(self.starts)} hold one twice, and there are more of them than athletes: "
                "the ways to give them out would not be equally likely; give each start once"
            )

    @property
    def lengths(self) -> tuple[int, ...]:
        """How many practices each athlete has."""
        return self.practices

    def count(self) -> int:
        """How many ways there are to give out the starts."""
        alike = math.prod(math.factorial(often) for often in Counter(self.starts).values())
        return math.perm(len(self.starts), len(self.practices)) // alike

    def sums(self, columns: Floats) -> Floats:
        """Add up each column over the practices with the new setting, for every way."""
        given = np.array(list(_given_out(Counter(self.starts), len(self.practices))), dtype=np.int64)
        total = np.zeros((len(given), columns.shape[1]))
        for athlete, own in enumerate(np.split(columns, np.cumsum(self.practices)[:-1])):
            from_here_on = np.cumsum(own[::-1], axis=0)[::-1]
            total += from_here_on[given[:, athlete]]
        return total

    def draw(self, draws: np.random.Generator, how_many: int) -> Orders:
        """Draw ways to give out the starts, (how_many, n)."""
        starts = np.tile(np.array(self.starts), (how_many, 1))
        given = draws.permuted(starts, axis=1)[:, : len(self.practices)]
        whose = np.repeat(np.arange(len(self.practices)), self.practices)
        when = np.concatenate([np.arange(own) for own in self.practices])
        return (when >= given[:, whose]).astype(np.int8)

    def holds(self, order: Integers) -> bool:
        """Whether the lot could have given these starts."""
        if len(order) != self.n:
            return False
        parts = np.split(np.asarray(order), np.cumsum(self.practices)[:-1])
        begun = Counter(int(np.sum(part == 0)) for part in parts)
        once = all(bool((np.diff(part) >= 0).all()) for part in parts)
        return once and begun <= Counter(self.starts)

    def told(self) -> str:
        """Say which orders these are."""
        return f"all ways to give {len(self.practices)} athletes one each of the starts {list(self.starts)}"


def _given_out(left: Counter[int], athletes: int) -> Iterator[tuple[int, ...]]:
    """Every way to give the starts to so many athletes; starts that are alike count once."""
    if athletes == 0:
        yield ()
        return
    for start in sorted(left):
        for others in _given_out(left - Counter([start]), athletes - 1):
            yield (start, *others)
