"""The interval of effects that the lots do not reject, without a search.

If the new setting added ``effect`` to every value, taking it off again moves each lot's statistic t to
t - effect * c, where c is the same statistic of the phases as practised; c is 1 for the order as practised and
never beyond -1 or 1. A lot is then at least as far from 0 as the order as practised for one unbroken stretch of
effects around the observed one, whose two ends have a closed form. How many lots are as far falls on either side,
so the effects not rejected are one interval, and its ends are among the stretches' ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots.numbers import Floats

# Below this a lot is the order as practised, or its mirror: it is as far away whatever the effect.
_SAME = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretches:
    """For each lot, the effects at which it is at least as far from 0 as the order as practised; ties count.

    Attributes
    ----------
    low, high : (l,) float
        The ends, infinite where the lot is always as far.
    always : int
        How many lots are as far whatever the effect: no p can have fewer.
    """

    low: Floats
    high: Floats
    always: int


def stretches(values: Floats, practised: Floats, observed: float, *, slack: float) -> Stretches:
    """Find where each lot is as far from 0 as the order as practised.

    Parameters
    ----------
    values, practised : (l,) float
        Each lot's statistic, and that of the phases as practised (from -1 to 1).
    observed : float
        The statistic of the order as practised.
    slack : float
        Above 0: how much nearer to 0 still counts as a tie, for rounding.

    Notes
    -----
    With u = observed - effect and a = t - c * observed, the lot is as far while |a + c u| >= |u|, which solves to
    -max(a / (1 + c), -a / (1 - c)) <= u <= max(a / (1 - c), -a / (1 + c)).
    """
    same = np.flatnonzero(np.abs(practised) > 1 - _SAME)
    apart, plus, minus = values - practised * observed, 1 + practised, 1 - practised
    plus[same] = minus[same] = 1.0
    above, below = slack + apart, slack - apart
    high, low = np.maximum(above / plus, below / minus), np.maximum(above / minus, below / plus)
    high[same] = low[same] = np.inf
    return Stretches(low=observed - low, high=observed + high, always=len(same))


def rejected_with(lots: int, confidence: float) -> int:
    """How many lots as far as the observed one still reject, the observed one among them.

    Raises
    ------
    DesignError
        If the confidence is not between 0 and 1.
    """
    if not 0 < confidence < 1:
        raise DesignError(f"the confidence is {confidence:g}: it must be between 0 and 1, such as 0.95")
    # 1 - 0.95 is a little more than 0.05, and 1 - (1 - 1 / 11) a little less than 1 / 11.
    return math.floor((1 - confidence) * lots + 1e-9)


def interval(found: Stretches, confidence: float) -> tuple[float, float] | None:
    """Give the lowest and highest effect not rejected, or None when the lots are too few to reject any."""
    reject = rejected_with(len(found.low), confidence)
    if found.always > reject:
        return None
    from_top = len(found.high) - 1 - reject
    return float(np.partition(found.low, reject)[reject]), float(np.partition(found.high, from_top)[from_top])
