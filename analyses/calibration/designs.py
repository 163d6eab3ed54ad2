"""The orders in which the old and the new setting are practised, and the time between practices."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LEAST_SIDE = 5
LEAST_DAYS, MOST_DAYS, BREAK_DAYS = 2, 9, 21


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """An order of settings.

    Attributes
    ----------
    lengths : tuple of int
        Practices in each phase, old setting first; for a drawn start, the number of all practices alone.
    drawn_start : bool
        Whether the first practice with the new setting is drawn by lot for every series.
    """

    lengths: tuple[int, ...]
    drawn_start: bool = False

    @property
    def n(self) -> int:
        """Number of practices."""
        return sum(self.lengths)

    def phases(self, n_series: int, rng: np.random.Generator) -> Floats:
        """Give 0 (old) or 1 (new) for every practice, (n_series, n)."""
        if self.drawn_start:
            start = rng.integers(LEAST_SIDE, self.n - LEAST_SIDE + 1, size=n_series)
            return (np.arange(self.n) >= start[:, None]).astype(np.float64)
        phase = np.repeat(np.arange(len(self.lengths)) % 2, self.lengths).astype(np.float64)
        return np.tile(phase, (n_series, 1))


DESIGNS: dict[str, Design] = {
    "once-10": Design(lengths=(5, 5)),
    "once-16": Design(lengths=(8, 8)),
    "once-30": Design(lengths=(15, 15)),
    "back-16": Design(lengths=(4, 4, 4, 4)),
    "back-30": Design(lengths=(8, 8, 7, 7)),
    "alternating-16": Design(lengths=(1,) * 16),
    "alternating-30": Design(lengths=(1,) * 30),
    "drawn-20": Design(lengths=(20,), drawn_start=True),
}


def practice_gaps(n_series: int, n: int, *, irregular: bool, rng: np.random.Generator) -> Floats:
    """Give the time before each practice in units of the median gap of its series, the first 1; (n_series, n).

    Irregular: 2 to 9 days, each as likely, and three weeks before practice n // 2, which in the designs with
    one change is the first with the new setting.
    """
    if not irregular:
        return np.ones((n_series, n))
    days = rng.integers(LEAST_DAYS, MOST_DAYS + 1, size=(n_series, n)).astype(np.float64)
    days[:, n // 2] = BREAK_DAYS
    gaps = days / np.median(days[:, 1:], axis=1, keepdims=True)
    gaps[:, 0] = 1.0
    return gaps


def gap_correlation(rho: float, gaps: Floats) -> Floats:
    """Give the correlation of every two practices, rho to the power of the gaps between them; (S, n, n)."""
    elapsed = np.cumsum(gaps, axis=1)
    return np.asarray(rho ** np.abs(elapsed[:, :, None] - elapsed[:, None, :]))
