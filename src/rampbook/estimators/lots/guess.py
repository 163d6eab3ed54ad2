"""The lots of a series whose plan is not known, from the shape of the series."""

from __future__ import annotations

import numpy as np

from rampbook.estimators.lots.free_order import FreeOrder
from rampbook.estimators.lots.lot_set import Lots
from rampbook.estimators.lots.moments import Moments, phase_lengths
from rampbook.estimators.lots.numbers import Integers

SHORTEST_PHASE = 5


def guess_lots(phase: Integers) -> Lots:
    """Guess which orders could have been drawn.

    Notes
    -----
    Where some phase is a single practice, settings alternate: every order with as many practices of each
    counts. Else the moments of change move: every set of moments with the same number of phases counts, in
    which no phase is shorter than five practices, or than the shortest observed one where that is less.
    """
    lengths = phase_lengths(phase)
    if min(lengths) == 1 and len(lengths) > 2:
        new = int(np.sum(phase))
        return FreeOrder(old=len(phase) - new, new=new)
    shortest = min(SHORTEST_PHASE, *lengths)
    return Moments(practices=len(phase), shortest=(shortest,) * len(lengths), first=int(phase[0]))
