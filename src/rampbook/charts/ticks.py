"""Which values and dates an axis names: round numbers, and never so many that the words touch."""

from __future__ import annotations

import math
from datetime import date
from itertools import pairwise

from rampbook.charts.text_fit import text_width

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def round_ticks(low: float, high: float, *, at_most: int) -> list[float]:
    """Give round values between two ends, 1, 2 or 5 times a power of ten apart, about ``at_most`` of them."""
    raw = (high - low) / at_most
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1.0, 2.0, 5.0, 10.0) if m * power >= raw * (1 - 1e-9))
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(i * step, 12) for i in range(first, last + 1)]


def number(value: float) -> str:
    """Write a value as short as it can be without losing digits, with a true minus sign."""
    return f"{value:.10g}".replace("-", "\N{MINUS SIGN}")


def day(on: date) -> str:
    """Write a date without its year, not to be broken: 9 Mar."""
    return f"{on.day}\u00a0{MONTHS[on.month - 1]}"


def thin(places: list[float], labels: list[str], size: float, *, gap: float = 12.0) -> list[int]:
    """Choose which labels to show so that none touch: every k-th one, with the smallest k that fits.

    Parameters
    ----------
    places : list of float
        Middle of each label in pixels, rising.
    labels : list of str
        The words.
    size : float
        Letter size in pixels.
    gap : float
        Smallest room between two labels in pixels.

    Returns
    -------
    list of int
        Which of them to show.
    """
    widths = [text_width(label, size) for label in labels]
    for step in range(1, max(len(places), 1)):
        shown = list(range(0, len(places), step))
        if all(places[b] - places[a] >= (widths[a] + widths[b]) / 2 + gap for a, b in pairwise(shown)):
            return shown
    return [0] if places else []
