"""The smallest worthwhile change: declared by the user, else from the athlete's own practices before the change."""

from __future__ import annotations

import math

import numpy as np

from rampbook.errors import EntryError
from rampbook.series.practices import Floats, Ints, PracticeSeries
from rampbook.units import Kind

# Half a standard deviation as the smallest change worth keeping: Norman, Sloan & Wyrwich 2003, Medical Care
# 41:582-592 (from memory). A convention, to be replaced by what the athlete says beforehand.
SHARE_OF_SPREAD = 0.5
_FARTHEST_RATIO = 4.0
LEAST_OLD = 4


def declared(kind: Kind, worthwhile: float) -> float:
    """Turn a declared worthwhile change (a ratio, either way up, or points) into a distance on the link scale.

    Raises
    ------
    EntryError
        When the number cannot be a ratio or points.
    """
    if kind.scale == "points":
        if not 0 < worthwhile <= 10:
            raise EntryError(
                f"Worthwhile is {worthwhile:g}: for ratings give points above 0, up to 10.", field="worthwhile"
            )
        return worthwhile
    if not 1 / _FARTHEST_RATIO <= worthwhile <= _FARTHEST_RATIO or worthwhile == 1.0:
        raise EntryError(
            f"Worthwhile is {worthwhile:g}: give the ratio of new to old that would matter, for example 0.95 for "
            "5% less or 1.1 for 10% more.",
            field="worthwhile",
            value=worthwhile,
        )
    return abs(math.log(worthwhile))


def from_before(series: PracticeSeries, response: Floats) -> float | None:
    """Half the spread of the practices before the change around their own line, and no less than the typical error.

    The typical error of a practice summary is what its own attempts say (SD within / √attempts). Link scale. Where
    settings take turns from the start, fewer than 4 practices stand before the first crossing, and all practices with
    the old setting are taken. None with fewer than 4 of those, or none that differ.
    """
    old = _with_old_setting(series)
    if old.size < LEAST_OLD:
        return None
    before, place = response[old], old.astype(float)
    line = np.polynomial.polynomial.polyval(place, np.polynomial.polynomial.polyfit(place, before, 1))
    spread = float(np.sqrt(np.sum((before - line) ** 2) / (before.size - 2)))
    distance = max(SHARE_OF_SPREAD * spread, typical_error(series, old))
    return distance if distance > 1e-9 else None


def _with_old_setting(series: PracticeSeries) -> Ints:
    """Give the practices before the first crossing, or where they are too few all with the old setting."""
    first = int(series.crossings[0]) if series.crossings.size else series.n
    if first >= LEAST_OLD and series.phase[0] == 0:
        return np.arange(first)
    return np.flatnonzero(series.phase == 0)


def typical_error(series: PracticeSeries, practices: Ints) -> float:
    """Give the standard error of a practice summary from the attempts of those practices; 0 where unknown."""
    if series.kind.name not in ("time", "rating"):
        return 0.0
    rows = np.isin(series.attempt_practice, practices)
    index, value = series.attempt_practice[rows], series.attempt_value[rows]
    value = np.log(value) if series.kind.name == "time" else value
    size = np.bincount(index, minlength=series.n)
    surplus = int(np.sum(size) - np.sum(size > 0))
    if surplus < 3:
        return 0.0
    within = value - (np.bincount(index, weights=value, minlength=series.n) / np.maximum(size, 1))[index]
    return float(np.sqrt(np.sum(within**2) / surplus / np.mean(size[size > 0])))
