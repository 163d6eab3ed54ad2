"""The watch for harm after a change: one look after each practice, one-sided, for up to 15 practices.

Exact tests suppose practices that differ by chance alone. Real ones have good and bad days, in runs. So the normal
score of the exact mid-p is divided by how much wider the difference then is, and p is averaged over what the
practices themselves leave possible. `analyses/harm_watch.py` measures what that is worth.

The levels are chosen for a harm that is raised on weak evidence: going back to the old value costs a few practices,
not going back may cost an injury. So over a whole watch of 15 looks about one do-nothing change in fifteen may raise
an alert for an outcome, in the worst case measured one in seven, where tests of an effect allow one in twenty.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rampbook.estimators.exact_tails import Tail, rank_tail, rate_tail
from rampbook.estimators.practice_spread import count_weights, count_widening, rating_weights, rating_widening

LEAST_BEFORE, MOST_BEFORE, MOST_AFTER = 3, 15, 15
COUNT_LEVEL = 0.03
RATING_LEVEL = 0.03
# p at the last look above which an alert is called eased: what followed was no worse than before.
EASED = 0.5

_SMALLEST = 1e-15
_FAR = 9.0  # standard deviations; beyond what the smallest p asks for
_HALVINGS = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class Looks:
    """p after each practice since the change, small when things have become worse, and the level of an alert.

    ``first`` is the practice after the change, counted from 1, that the first p stands at.
    """

    p: tuple[float, ...]
    level: float
    first: int = 1

    @property
    def raised(self) -> int | None:
        """The practice after the change, counted from 1, at which the alert was raised; None where it was not."""
        return next((look for look, p in enumerate(self.p, start=self.first) if p < self.level), None)

    @property
    def eased(self) -> bool:
        """Whether an alert was raised, and what followed brought the outcome back to where it was before."""
        return self.raised is not None and self.p[-1] > EASED


def count_looks(counts: Sequence[int], exposures: Sequence[float], n_before: int, *, last_only: bool = False) -> Looks:
    """Look at events after each practice since the change, or after the last one only.

    Parameters
    ----------
    counts, exposures : (n,)
        Events and exposure (above 0) of each practice in order of time, the ``n_before`` with the old setting first,
        at least one after them.
    """
    first = len(counts) if last_only else n_before + 1
    p = tuple(count_p(counts[:n], exposures[:n], n_before) for n in range(first, len(counts) + 1))
    return Looks(p=p, level=COUNT_LEVEL, first=first - n_before)


def rating_looks(values: Sequence[float], n_before: int, *, last_only: bool = False) -> Looks:
    """Look at ratings in the same way; higher must be worse, so turn the sign where it is not."""
    first = len(values) if last_only else n_before + 1
    p = tuple(rating_p(values[:n], n_before) for n in range(first, len(values) + 1))
    return Looks(p=p, level=RATING_LEVEL, first=first - n_before)


def count_p(counts: Sequence[int], exposures: Sequence[float], n_before: int) -> float:
    """Give p of the last look: the exact conditional test, widened. Without any event there is nothing to see: 0.5."""
    total, whole = sum(counts), sum(exposures)
    if not total:
        return 0.5
    means = [total / whole * exposure for exposure in exposures]
    old, new = slice(None, n_before), slice(n_before, None)
    tail = rate_tail(sum(counts[old]), sum(counts[new]), sum(exposures[old]), sum(exposures[new]))
    return _widened(tail, count_widening(means, exposures, n_before), count_weights(counts, means, n_before))


def rating_p(values: Sequence[float], n_before: int) -> float:
    """Give p of the last look: the exact rank-sum test, widened. Ratings that are all alike show nothing: 0.5."""
    if min(values) == max(values):
        return 0.5
    tail = rank_tail(values[:n_before], values[n_before:])
    return _widened(tail, rating_widening(n_before, len(values) - n_before), rating_weights(values, n_before))


def _widened(tail: Tail, widening: Sequence[float], weights: Sequence[float]) -> float:
    score = _normal_score(min(max(tail.mid, _SMALLEST), 1 - _SMALLEST))
    return math.fsum(
        weight * _normal_share(score / math.sqrt(wider)) for weight, wider in zip(weights, widening, strict=True)
    )


def _normal_share(score: float) -> float:
    """Share of a standard normal below a score."""
    return math.erfc(-score / math.sqrt(2)) / 2


def _normal_score(share: float) -> float:
    """Score below which that share of a standard normal lies, by halving: quicker than loading `statistics`."""
    low, high = -_FAR, _FAR
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _normal_share(middle) < share else (low, middle)
    return (low + high) / 2
