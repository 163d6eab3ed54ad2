"""How much an outcome wanders when nothing was changed: typical error, smallest real change, agreement."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rampbook.errors import DesignError

Floats = NDArray[np.float64]


def typical_error(test: Floats, retest: Floats) -> float:
    """Give the spread of one measurement around its true value: SD of the differences over root 2.

    Parameters
    ----------
    test, retest : (n,) float
        The same athletes, or the same practices, measured twice with nothing changed.

    Raises
    ------
    DesignError
        If there are fewer than two pairs, or the two sides differ in length.

    References
    ----------
    Hopkins 2000, Sports Medicine 30; Weir 2005, Journal of Strength and Conditioning Research 19:231-240
    (from memory).
    """
    return float(np.std(_differences(test, retest), ddof=1)) / math.sqrt(2)


def smallest_real_change(error: float, *, z: float = 1.96) -> float:
    """Give the change that two single measurements must differ by before noise alone is an unlikely reason.

    Parameters
    ----------
    error : float
        Typical error, in the outcome's own unit.
    z : float
        Normal quantile: 1.96 for 95%, 1.645 for 90%.
    """
    return z * math.sqrt(2) * error


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """Mean difference of two ways to measure, its standard deviation, and the limits of agreement."""

    mean_difference: float
    sd_difference: float
    low: float
    high: float


def limits_of_agreement(one: Floats, other: Floats, *, multiple: float = 1.96) -> Agreement:
    """Give the range in which most differences between two ways to measure fall (Bland and Altman 1986).

    The differences are one minus other; ``multiple`` is the number of standard deviations (the paper uses 2).
    """
    differences = _differences(one, other)
    mean, sd = float(np.mean(differences)), float(np.std(differences, ddof=1))
    return Agreement(
        mean_difference=mean, sd_difference=sd, low=mean - multiple * sd, high=mean + multiple * sd
    )


def within_sd(test: Floats, retest: Floats) -> float:
    """Give the within-subject standard deviation of pairs, a shift between the two counted as noise."""
    differences = _differences(test, retest)
    return math.sqrt(float(np.mean(differences**2)) / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanSquares:
    """Mean squares of a table of targets (rows) by judges (columns).

    ``between`` targets, ``judges``, ``within`` targets, and ``error`` (the rest).
    """

    between: float
    judges: float
    within: float
    error: float
    n: int
    k: int


def mean_squares(table: Floats) -> MeanSquares:
    """Split the spread of a complete table, n targets by k judges or sessions.

    Raises
    ------
    DesignError
        If there are fewer than two rows or columns, or a gap.
    """
    table = np.asarray(table, dtype=np.float64)
    if table.ndim != 2 or min(table.shape) < 2 or not np.isfinite(table).all():
        raise DesignError("agreement needs a table without gaps, two rows and two columns at least")
    n, k = table.shape
    grand = float(table.mean())
    rows = k * float(np.sum((table.mean(axis=1) - grand) ** 2))
    columns = n * float(np.sum((table.mean(axis=0) - grand) ** 2))
    total = float(np.sum((table - grand) ** 2))
    return MeanSquares(
        between=rows / (n - 1),
        judges=columns / (k - 1),
        within=(total - rows) / (n * (k - 1)),
        error=max(total - rows - columns, 0.0) / ((n - 1) * (k - 1)),
        n=n,
        k=k,
    )


def intraclass_correlations(table: Floats) -> dict[str, float]:
    """Give the six intraclass correlations of a table of targets (rows) by judges or sessions (columns).

    Returns
    -------
    dict of str to float
        ``icc_1_1``, ``icc_2_1``, ``icc_3_1`` for one measurement and ``icc_1_k``, ``icc_2_k``, ``icc_3_k``
        for the mean of all k: one-way, two-way with judges drawn from many, two-way with these judges only.

    Raises
    ------
    DesignError
        If the targets do not differ at all.

    References
    ----------
    Shrout and Fleiss 1979, Psychological Bulletin 86 (from memory).
    """
    squares = mean_squares(table)
    b, j, w, e, n, k = (
        squares.between,
        squares.judges,
        squares.within,
        squares.error,
        squares.n,
        squares.k,
    )
    if b == 0:
        raise DesignError("the rows do not differ at all, so agreement about them is not defined")
    return {
        "icc_1_1": (b - w) / (b + (k - 1) * w),
        "icc_2_1": (b - e) / (b + (k - 1) * e + k * (j - e) / n),
        "icc_3_1": (b - e) / (b + (k - 1) * e),
        "icc_1_k": (b - w) / b,
        "icc_2_k": (b - e) / (b + (j - e) / n),
        "icc_3_k": (b - e) / b,
    }


def _differences(one: Floats, other: Floats) -> Floats:
    one, other = np.asarray(one, dtype=np.float64), np.asarray(other, dtype=np.float64)
    if one.shape != other.shape or one.ndim != 1 or len(one) < 2:
        raise DesignError(
            f"two lists of equal length, two pairs at least, are needed; got {one.shape}, {other.shape}"
        )
    return one - other
