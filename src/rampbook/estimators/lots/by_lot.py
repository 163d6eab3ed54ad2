"""Randomisation tests: the observed effect among those of every order that the lot could have given."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots.given_orders import GivenOrders
from rampbook.estimators.lots.guess import guess_lots
from rampbook.estimators.lots.inversion import Stretches, interval, stretches
from rampbook.estimators.lots.lot_set import Lots
from rampbook.estimators.lots.numbers import Floats, Integers
from rampbook.estimators.lots.packed import packed_sums
from rampbook.estimators.lots.result import IF_DRAWN, SEED, LotTest, how_gone_through, smallest_told, too_few_lots
from rampbook.estimators.lots.sign_flips import SignFlips
from rampbook.estimators.lots.statistic import BesideTrend, MeanOfPairs, PhaseDifference, Statistic

# Lots times practices that are drawn at a time, so that memory stays small.
AT_ONCE = 2**22


def randomisation_test(
    response: Floats,
    phase: Integers,
    *,
    lots: Lots | Integers | None = None,
    trend: bool = False,
    confidence: float = 0.95,
    seed: int = SEED,
    most: int = 20_000,
) -> LotTest:
    """Test the difference of phase means against every order of settings that the lot could have given.

    Parameters
    ----------
    response : (n,) float
        One number a practice, in order; several athletes stand one after the other.
    phase : (n,) int
        0 old setting, 1 new setting.
    lots : Lots or (l, n) int, optional
        The orders that could have been drawn, the observed one among them. Left out, they are guessed from
        the shape of the series; see ``guess_lots``.
    trend : bool
        Compare the change beside a straight line (one an athlete) instead; see ``BesideTrend``.
    confidence : float
        Of the interval.
    seed : int
        Of the drawing, where there are more than ``most`` orders.
    most : int
        The most orders that are all gone through.

    Returns
    -------
    LotTest
        Two-sided; ties count as at least as far. An effect is outside the interval exactly when the test of the
        values less that effect has a p of at most 1 - confidence.

    Raises
    ------
    DesignError
        If values and phases differ in number, only one setting was practised, or the observed order is not among
        ``lots``.

    References
    ----------
    Edgington and Onghena 2007, Randomization Tests, 4th ed. (from memory).
    """
    response, phase = np.asarray(response, dtype=np.float64), np.asarray(phase, dtype=np.int64)
    if response.shape != phase.shape:
        raise DesignError(f"there are {response.size} values and {phase.size} phases: give one of each a practice")
    if len(np.unique(phase)) < 2:
        raise DesignError("only one setting was practised, so there is nothing to compare")
    if not np.isfinite(response).all():
        raise DesignError("a value is missing or not a number")
    drawn_from = guess_lots(phase) if lots is None else lots if isinstance(lots, Lots) else GivenOrders.of(lots)
    if isinstance(drawn_from, SignFlips):
        raise DesignError("sign flips belong to paired differences: use sign_flip_test")
    if not drawn_from.holds(phase):
        raise DesignError("the order of settings as practised is not among those that could be drawn")
    statistic = (BesideTrend if trend else PhaseDifference).of(response, phase, drawn_from.lengths)
    drawing = _Drawing(seed=seed, most=most, confidence=confidence)
    return _test(statistic, phase, drawn_from, drawing, ", with a trend" if trend else ", no trend")


def sign_flip_test(
    differences: Floats, *, confidence: float = 0.95, seed: int = SEED, most: int = 2**20
) -> LotTest:
    """Test paired differences against every way their signs could have fallen.

    Parameters
    ----------
    differences : (n,) float
        New minus old within each pair that was allotted by lot.
    confidence, seed, most
        As in ``randomisation_test``.

    Returns
    -------
    LotTest
        Two-sided; zero differences stay in, and ties count as at least as far.

    Raises
    ------
    DesignError
        If there is no pair, or a value is missing.

    References
    ----------
    Fisher 1935, The Design of Experiments, section 21 (from memory).
    """
    differences = np.asarray(differences, dtype=np.float64)
    if len(differences) == 0 or not np.isfinite(differences).all():
        raise DesignError("there is no pair to compare, or a value is missing")
    as_recorded = np.ones(len(differences), dtype=np.int64)
    drawing = _Drawing(seed=seed, most=most, confidence=confidence)
    return _test(MeanOfPairs.of(differences), as_recorded, SignFlips(pairs=len(differences)), drawing, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawing:
    """What the caller chose: how the lots are gone through, and the confidence."""

    seed: int
    most: int
    confidence: float


def _test(statistic: Statistic, order: Integers, lots: Lots, drawing: _Drawing, trend: str) -> LotTest:
    n_lots = lots.count()
    drawn = 0 if n_lots <= drawing.most else drawing.most
    practised, slack = np.array(statistic.read(order[None, :] @ statistic.columns)), statistic.slack
    observed = float(practised[0, 0])
    values, shift = (
        _drawn(lots, statistic, practised, drawing) if drawn else statistic.read(lots.sums(statistic.columns))
    )
    far = int(np.count_nonzero(np.abs(values) >= abs(observed) - slack))
    p = far / len(values)
    error = math.sqrt(p * (1 - p) / drawn) if drawn else 0.0
    found = stretches(values, shift, observed, slack=slack)
    smallest, two_sided = 1 / len(values), found.always / len(values)
    ends, no_interval = _interval(found, drawing.confidence, has_scatter=statistic.scatter(observed) > slack)
    return LotTest(
        difference=observed,
        p=p,
        low=ends[0] if ends else None,
        high=ends[1] if ends else None,
        confidence=drawing.confidence,
        highest_confidence=1 - two_sided,
        no_interval=no_interval,
        smallest_p=smallest,
        smallest_two_sided_p=two_sided,
        n_lots=n_lots,
        n_as_far=far - (drawn > 0),
        n_as_high=int(np.count_nonzero(values >= observed - slack)) - (drawn > 0),
        n_gone_through=len(values) - (drawn > 0),
        monte_carlo_error=error,
        algorithm=(
            f"{statistic.told()} among {lots.told()} ({how_gone_through(n_lots, drawn, drawing.seed, error)}), "
            f"two-sided{trend}; {smallest_told(smallest, two_sided)}; {IF_DRAWN.format(lots.drawn_by)}"
        ),
    )


def _drawn(lots: Lots, statistic: Statistic, practised: Floats, drawing: _Drawing) -> tuple[Floats, Floats]:
    """Give the statistics of drawn lots, so many at a time, and last that of the order as practised, (2, 1).

    The order as practised is one of the lots, so it is counted with those drawn: p is never 0.
    """
    draws = np.random.default_rng(drawing.seed)
    read = np.empty((2, drawing.most + 1))
    at_once = max(1, AT_ONCE // lots.n)
    for start in range(0, drawing.most, at_once):
        packed = lots.draw_packed(draws, min(at_once, drawing.most - start))
        read[:, start : start + packed.shape[1]] = statistic.read(packed_sums(packed, statistic.columns))
    read[:, -1:] = practised
    return read[0], read[1]


def _interval(
    found: Stretches, confidence: float, *, has_scatter: bool
) -> tuple[tuple[float, float] | None, str | None]:
    """Give the interval, or the reason for none."""
    ends = interval(found, confidence)
    if ends is None:
        return None, too_few_lots(confidence, 1 - found.always / len(found.low))
    return (ends, None) if has_scatter else (None, "the values show no scatter beside the change")
