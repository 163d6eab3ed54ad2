"""How long a randomisation test takes beside scipy's permutation_test, on the same statistic and number of lots.

Prints both times, their ratio and both p values. Ours includes its interval, which scipy does not give. scipy is
timed in each way that it can be set (statistic on whole arrays or one lot at a time, in one batch or in small ones)
and its fastest counts. Both use one processor, and the time of that processor is what is counted.

scipy knows no lots in blocks, random moments or staggered starts, so the cases are the two that both can say: which
practices had the new setting, freely, with the difference of means; and the signs of pairs, with the mean of paired
differences. Data are made here, with a seed. Written for Rampbook 0.1.0.

    python analyses/bench_lots.py
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from rampbook.estimators.lots import FreeOrder, LotTest, randomisation_test, sign_flip_test

BAR = 20.0
# By turns, so that a slow minute of the machine falls on both; the best turn of each counts.
TURNS, SECONDS_A_TURN = 6, 0.2
SLOW_WAY = "one lot at a time"
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One comparison: ours and scipy's of the same values, going through so many lots."""

    name: str
    lots: int
    ours: Callable[[], LotTest]
    theirs: Callable[..., Any]


def difference_of_means(new: Floats, old: Floats, axis: int = -1) -> Any:
    return np.mean(new, axis=axis) - np.mean(old, axis=axis)


def mean_difference(values: Floats, axis: int = -1) -> Any:
    return np.mean(values, axis=axis)


def _resamples(drawn: int | None) -> dict[str, Any]:
    """Ask scipy for so many lots, or for all of them, which it calls infinitely many."""
    return {"n_resamples": drawn or np.inf}


def free_case(name: str, practices: int, *, drawn: int | None) -> Case:
    """Half of the practices had the new setting, any half; all halves, or so many drawn."""
    values = np.random.default_rng(practices).normal(size=practices)
    phase = np.arange(practices) % 2
    values = values + 0.6 * phase
    half = practices // 2
    lots = FreeOrder(old=half, new=half)
    most = drawn or lots.count()

    def theirs(how: dict[str, Any]) -> Any:
        groups = (values[phase == 1], values[phase == 0])
        return stats.permutation_test(
            groups, difference_of_means, permutation_type="independent", rng=1, **_resamples(drawn), **how
        )

    return Case(
        name=name, lots=most, theirs=theirs, ours=lambda: randomisation_test(values, phase, lots=lots, most=most)
    )


def sign_case(name: str, pairs: int, *, drawn: int | None) -> Case:
    """Paired differences and their signs: all ways, or so many drawn."""
    differences = np.random.default_rng(pairs).normal(0.35, 1, size=pairs)
    most = drawn or 2**pairs

    def theirs(how: dict[str, Any]) -> Any:
        return stats.permutation_test(
            (differences,), mean_difference, permutation_type="samples", rng=1, **_resamples(drawn), **how
        )

    return Case(name=name, lots=most, theirs=theirs, ours=lambda: sign_flip_test(differences, most=most))


CASES = (
    free_case("free order, 16 practices, all", 16, drawn=None),
    free_case("free order, 20 practices, all", 20, drawn=None),
    free_case("free order, 24 practices, drawn", 24, drawn=9_999),
    free_case("free order, 40 practices, drawn", 40, drawn=19_999),
    sign_case("signs of 12 pairs, all", 12, drawn=None),
    sign_case("signs of 16 pairs, all", 16, drawn=None),
    sign_case("signs of 30 pairs, drawn", 30, drawn=9_999),
    sign_case("signs of 30 pairs, drawn", 30, drawn=99_999),
)
SCIPY_WAYS: dict[str, dict[str, Any]] = {
    "default": {},
    "vectorized": {"vectorized": True},
    "vectorized, batches of 1,000": {"vectorized": True, "batch": 1_000},
    SLOW_WAY: {"vectorized": False},
}


def seconds(call: Callable[[], Any]) -> tuple[float, Any]:
    """Return the processor time of a call, which other programs on the machine do not lengthen, and the answer.

    Short calls are made again and again, and their mean counts: a lucky one is no better than an unlucky one.
    """
    calls, answer = 0, None
    start = time.process_time()
    while not calls or time.process_time() - start < SECONDS_A_TURN:
        answer = call()
        calls += 1
    return (time.process_time() - start) / calls, answer


def agree(case: Case, ours: LotTest, their_p: float) -> bool:
    """Whether the two p are the same: to the last lot when all are gone through, else to Monte-Carlo error.

    scipy's p is twice the smaller tail, ours the share as far from 0: equal here, for every lot has its mirror.
    Drawn, they differ by two errors of drawing, and four standard errors are allowed.
    """
    if ours.monte_carlo_error == 0:
        return math.isclose(ours.p, their_p, rel_tol=1e-12)
    theirs = math.sqrt(2 * their_p * (1 - their_p / 2) / case.lots)
    return abs(ours.p - their_p) <= 4 * math.hypot(ours.monte_carlo_error, theirs)


def measure(case: Case) -> bool:
    """Print one line; return whether the bar is kept and the p values agree."""
    own: list[tuple[float, LotTest]] = []
    ways: dict[str, list[tuple[float, Any]]] = {name: [] for name in SCIPY_WAYS}
    for turn in range(TURNS):
        own.append(seconds(case.ours))
        for name, how in SCIPY_WAYS.items():
            if turn == 0 or name != SLOW_WAY:
                ways[name].append(seconds(partial(case.theirs, how)))
    took, ours = min(own, key=lambda run: run[0])
    best = {name: min(runs, key=lambda run: run[0]) for name, runs in ways.items()}
    fastest = min(best, key=lambda name: best[name][0])
    theirs, their_p = best[fastest][0], float(best[fastest][1].pvalue)
    same = agree(case, ours, their_p)
    ratio = theirs / took
    print(
        f"{case.name:<33}{case.lots:>9,}{1e3 * took:>10.2f}{1e3 * theirs:>10.1f}{ratio:>8.0f}"
        f"{best['default'][0] / took:>9.0f}{ours.p:>10.5f}{their_p:>10.5f}  "
        f"{'same' if same else 'DIFFERENT'}; scipy fastest: {fastest}",
        flush=True,
    )
    return same and ratio >= BAR


def main() -> int:
    """Print one line a case; return 1 when one misses the bar or a p differs."""
    print("scipy cannot express lots in blocks, random moments or staggered starts; these cases both can.")
    print(f"ratio: scipy's fastest way over ours with its interval (bar: at least {BAR:g}); default: scipy as it comes")
    print(f"{'case':<33}{'lots':>9}{'ours ms':>10}{'scipy ms':>10}{'ratio':>8}{'default':>9}{'our p':>10}{'its p':>10}")
    kept = [measure(case) for case in CASES]
    print(f"{sum(kept)} of {len(kept)} cases keep the bar and agree")
    return int(not all(kept))


if __name__ == "__main__":
    raise SystemExit(main())
