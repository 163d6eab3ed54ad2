"""Many comparisons at once: p values adjusted for how many were looked at."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from rampbook.errors import DesignError


def holm(p_values: Sequence[float | None]) -> list[float | None]:
    """Adjust p values so that the chance of even one false claim stays at the level (Holm 1979).

    Parameters
    ----------
    p_values : sequence of float or None
        None marks a comparison without a p value; it stays None and does not count.

    Raises
    ------
    DesignError
        If a p value is not between 0 and 1.
    """
    return _adjusted(p_values, "holm")


def benjamini_hochberg(p_values: Sequence[float | None]) -> list[float | None]:
    """Adjust p values so that the expected share of false claims among all claims stays at the level.

    References
    ----------
    Benjamini and Hochberg 1995, Journal of the Royal Statistical Society B 57:289-300 (from memory).
    """
    return _adjusted(p_values, "fdr_bh")


def _adjusted(p_values: Sequence[float | None], method: str) -> list[float | None]:
    from statsmodels.stats.multitest import multipletests

    known = [place for place, p in enumerate(p_values) if p is not None]
    values = np.array([p_values[place] for place in known], dtype=np.float64)
    for value in values:
        if not 0 <= value <= 1:
            raise DesignError(f"a p value must lie between 0 and 1, not {value}")
    result: list[float | None] = [None] * len(p_values)
    if known:
        for place, adjusted in zip(known, multipletests(values, method=method)[1], strict=True):
            result[place] = float(adjusted)
    return result
