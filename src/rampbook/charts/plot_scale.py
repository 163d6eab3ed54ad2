"""The value axis of the practices: from where to where, and how its values are written."""

from __future__ import annotations

from rampbook.charts.marks import Row
from rampbook.charts.ticks import number
from rampbook.charts.words import percent
from rampbook.units import RATING_HIGH, RATING_LOW, Kind

# A range of "what would have been" may stretch the axis by this part of the data's own spread, then it is
# cut.
BAND_SHARE = 0.4
AIR = 0.06


def value_ends(kind: Kind, frames: dict[str, list[Row]]) -> tuple[float, float]:
    """Choose the ends of the value axis.

    Counts start at zero, because a bar's length or a point's height is read as an amount; ratings and
    shares show their whole scale; times show the spread that is there.
    """
    if kind.name == "rating":
        return RATING_LOW - 0.3, RATING_HIGH + 0.3
    if kind.name == "success":
        return -0.03, 1.03
    low, high = _spread(frames)
    if kind.name == "count":
        return 0.0, high + AIR * max(high, 1e-9)
    air = AIR * (high - low)
    return max(low - air, 0.0), high + air


def value_label(kind: Kind, value: float) -> str:
    """Write a value of the axis."""
    return percent(value) if kind.name == "success" else number(value)


def _spread(frames: dict[str, list[Row]]) -> tuple[float, float]:
    values = [
        row["value"]
        for name in ("practices", "attempts", "fitted", "without")
        for row in frames[name]
        if "value" in row
    ]
    if not values:
        return 0.0, 1.0
    low, high = min(values), max(values)
    spread = (high - low) or abs(high) * 0.1 or 1.0
    lows = [row["low"] for row in frames["without"] if "low" in row]
    highs = [row["high"] for row in frames["without"] if "high" in row]
    wide_low = max(min([*lows, low]), low - BAND_SHARE * spread)
    wide_high = min(max([*highs, high]), high + BAND_SHARE * spread)
    return (wide_low, wide_high) if wide_high > wide_low else (low - spread / 2, high + spread / 2)
