"""Two exact one-sided tests in plain Python: of two event rates, and of the order of ratings.

No numerical library on purpose: `rampbook practice` asks them and may not wait for one to load.
"""

from __future__ import annotations

import math
import sys
from array import array
from collections.abc import Sequence
from dataclasses import dataclass

_SLOT = 4  # bytes for a number of ways: at most C(30, 15) = 155,117,520


@dataclass(frozen=True, slots=True, kw_only=True)
class Tail:
    """The chance of what was seen or worse (``exact``), and with what was seen counted half (``mid``)."""

    exact: float
    mid: float


def rate_tail(before: int, after: int, exposure_before: float, exposure_after: float) -> Tail:
    """Give the chance of as many events after, or more, when the rate stayed the same.

    Given all events, each falls after with the chance exposure_after / (exposure_before + exposure_after): the
    conditional test of two Poisson rates (Przyborowski and Wilenski 1940, Biometrika 31:313-323; from memory).

    Examples
    --------
    >>> rate_tail(0, 2, 60, 60)
    Tail(exact=0.25, mid=0.125)
    """
    total, share = before + after, exposure_after / (exposure_before + exposure_after)
    chances = [_binomial(total, x, share) for x in range(after, total + 1)]
    exact = min(1.0, math.fsum(chances))
    return Tail(exact=exact, mid=exact - chances[0] / 2)


def _binomial(total: int, x: int, share: float) -> float:
    ways = math.lgamma(total + 1) - math.lgamma(x + 1) - math.lgamma(total - x + 1)
    return math.exp(ways + x * math.log(share) + (total - x) * math.log1p(-share))


def rank_tail(before: Sequence[float], after: Sequence[float]) -> Tail:
    """Give the chance of values after that rank as high, or higher, when all orders are alike.

    Every way to choose the practices after is counted by its rank sum; ties share their rank (Wilcoxon 1945,
    Biometrics Bulletin 1:80-83; from memory). Up to 30 values in all.

    Examples
    --------
    >>> rank_tail([1, 2, 3], [4, 5])
    Tail(exact=0.1, mid=0.05)
    """
    ranks = _double_ranks([*before, *after])
    ways = _ways(ranks, len(after), sum(ranks[len(before) :]))
    total = math.comb(len(ranks), len(after))
    exact = sum(ways) / total
    return Tail(exact=exact, mid=exact - ways[0] / total / 2)


def _double_ranks(values: Sequence[float]) -> list[int]:
    """Twice the shared rank of each, so that it is whole."""
    return [sum((other < value) + (other <= value) for other in values) + 1 for value in values]


def _ways(ranks: Sequence[int], size: int, least: int) -> array[int]:
    """Count the ways in which ``size`` of the ranks sum to ``least``, to one more, and so on.

    The counts of all sums stand side by side in one long integer, so that adding a rank is one shift.
    """
    chosen = [1] + [0] * size
    for rank in ranks:
        for n in range(size, 0, -1):
            chosen[n] += chosen[n - 1] << (8 * _SLOT * rank)
    tail = chosen[size] >> (8 * _SLOT * least)
    held = tail.to_bytes(_SLOT * (tail.bit_length() // (8 * _SLOT) + 1), sys.byteorder)
    ways = array("I", held)
    return ways if sys.byteorder == "little" else ways[::-1]
