"""Before against after by ranks: the Mann-Whitney test with the Hodges-Lehmann shift."""

from __future__ import annotations

import math

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.usual_fits.fitted import CONFIDENCE, FitRow
from rampbook.estimators.usual_fits.tabled import Floats

MOST_EXACT = 50


def rank_row(name: str, before: Floats, after: Floats, *, ratio: bool) -> FitRow:
    """Compare two sets of practices by ranks; no trend, no covariates.

    Parameters
    ----------
    name : str
        The row's name.
    before, after : (n_before,), (n_after,) float
        Working responses on the link scale.
    ratio : bool
        Report the exponential of the shift.

    Raises
    ------
    DesignError
        If a side is empty, or all values are equal.

    Notes
    -----
    The shift is the median of all differences after minus before. Its interval runs between two of the sorted
    differences, chosen by the exact distribution of the rank sum when there are no ties and fewer than 50
    practices on each side, else by its normal approximation (Hodges and Lehmann 1963). Ties count half.
    """
    from scipy import stats

    if not (len(before) and len(after)):
        raise DesignError("one side has no practices")
    pooled = np.concatenate([before, after])
    if not np.isfinite(pooled).all() or np.ptp(pooled) == 0:
        raise DesignError("all values are equal, or one is missing")
    exact = len(np.unique(pooled)) == len(pooled) and max(len(before), len(after)) < MOST_EXACT
    p = float(stats.mannwhitneyu(after, before, method="exact" if exact else "asymptotic").pvalue)
    differences = np.sort((after[:, None] - before[None, :]).ravel())
    rank = _outer_rank(len(before), len(after), exact=exact)
    shift = float(np.median(differences))
    ends = (float(differences[rank - 1]), float(differences[-rank])) if rank else None
    if ratio:
        shift, ends = math.exp(shift), ends and (math.exp(ends[0]), math.exp(ends[1]))
    way = "exact" if exact else "normal approximation with ties and continuity corrected"
    return FitRow(
        name=name,
        estimate=shift,
        low=ends[0] if ends else None,
        high=ends[1] if ends else None,
        p=p,
        algorithm=f"Mann-Whitney test, {way}; Hodges-Lehmann shift with order-statistic interval; no trend",
        reason=None if ends else "too few practices for a 95% interval from ranks",
    )


def _outer_rank(n_before: int, n_after: int, *, exact: bool) -> int:
    """Give the place, from the outside in, of the difference that ends the interval; 0 for none."""
    from scipy import stats

    tail = (1 - CONFIDENCE) / 2
    if exact:
        lower = np.cumsum(_rank_sum_shares(n_before, n_after))
        return int(np.searchsorted(lower, tail, side="right"))
    spread = math.sqrt(n_before * n_after * (n_before + n_after + 1) / 12)
    return max(0, round(n_before * n_after / 2 - float(stats.norm.ppf(1 - tail)) * spread))


def _rank_sum_shares(n_before: int, n_after: int) -> Floats:
    """Distribution of the number of pairs in which ``after`` is the larger, when nothing differs.

    The generating function is a product of (1 - x^(n_after + i)) / (1 - x^i) for i = 1 … n_before.
    """
    ways = np.zeros(n_before * n_after + 1)
    ways[0] = 1.0
    for step in range(1, n_before + 1):
        longer = n_after + step
        if longer < len(ways):
            ways[longer:] -= ways[:-longer].copy()
        for start in range(step):
            ways[start::step] = np.cumsum(ways[start::step])
    return np.asarray(ways / ways.sum(), dtype=np.float64)
