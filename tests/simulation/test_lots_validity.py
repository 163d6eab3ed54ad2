"""A test by lot keeps its level whatever the practices do by themselves, if only the lot was really drawn.

Theory (closed form): with N equally likely lots, P(p <= k / N) is at most k / N, and is k / N where no two lots tie.
The values here follow one another strongly and drift. Seeds are fixed; shares must lie within three Monte-Carlo
standard errors.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from rampbook.estimators.lots import Blocks, FreeOrder, Lots, Moments, StaggeredStarts, random_start, randomisation_test

pytestmark = pytest.mark.slow

RUNS = 2000
EFFECT = 0.7
# How many lots tie with the observed one whatever the values: 2 where the mirrored order is a lot too.
PLANS: dict[str, tuple[Lots, int]] = {
    "random start": (random_start(20), 1),
    "two moments": (Moments(practices=16, shortest=(4, 4, 4)), 1),
    "blocks": (Blocks(blocks=5), 2),
    "short runs": (FreeOrder(old=4, new=4, longest_run=2), 2),
    "staggered": (StaggeredStarts(practices=(10, 10, 10, 10), starts=(3, 4, 6, 7)), 1),
}


def drifting(draws: np.random.Generator, lots: Lots) -> NDArray[np.float64]:
    """A random walk an athlete, all of them carried along by one more that they share."""
    together = np.cumsum(draws.normal(size=max(lots.lengths)))
    return np.concatenate([np.cumsum(draws.normal(size=n)) + together[:n] for n in lots.lengths])


@pytest.mark.parametrize("name", list(PLANS))
@pytest.mark.parametrize("trend", [False, True], ids=["plain", "trend"])
def test_level_and_cover_are_exact_under_strong_autocorrelation(name: str, trend: bool) -> None:
    lots, ties = PLANS[name]
    n_lots = lots.count()
    reject = ties * max(1, n_lots // (8 * ties))
    level = reject / n_lots
    draws = np.random.default_rng(21)
    small = inside = 0
    for _ in range(RUNS):
        values, phase = drifting(draws, lots), lots.draw(draws, 1)[0].astype(np.int64)
        test = randomisation_test(values, phase, lots=lots, trend=trend)
        small += test.p <= level + 1e-12
        true = randomisation_test(values + EFFECT * phase, phase, lots=lots, trend=trend, confidence=1 - level)
        assert true.low is not None and true.high is not None
        inside += true.low <= EFFECT <= true.high
    margin = 3 * math.sqrt(level * (1 - level) / RUNS)
    assert small / RUNS == pytest.approx(level, abs=margin)
    assert inside == RUNS - small


def test_a_moment_that_was_chosen_and_not_drawn_breaks_the_level() -> None:
    """What the promise rests on: a change made just when the values jump is called too often."""
    lots = random_start(20)
    draws = np.random.default_rng(22)
    small = 0
    for _ in range(500):
        values = drifting(draws, lots)
        steepest = 5 + int(np.argmax(np.abs(np.diff(values)[4:15])))
        phase = (np.arange(20) >= steepest).astype(np.int64)
        small += randomisation_test(values, phase, lots=lots).p <= 1 / 11 + 1e-12
    assert small / 500 > 1 / 11 + 3 * math.sqrt(1 / 11 * 10 / 11 / 500)
