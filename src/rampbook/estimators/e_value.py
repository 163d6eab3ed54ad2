"""How strong something unseen would have to be to explain an effect away: the E-value of a ratio."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from rampbook.errors import DesignError

RatioOf = Literal["risks", "rates", "odds"]


@dataclass(frozen=True, slots=True, kw_only=True)
class EValue:
    """The E-value of an estimate and of the end of its interval nearer to no effect.

    Attributes
    ----------
    point : float
        1 or more; 1 means nothing is needed to explain the estimate away.
    limit : float or None
        The same for the interval; 1 when the interval includes no effect; None without an interval.
    """

    point: float
    limit: float | None


def e_value(
    ratio: float, low: float | None = None, high: float | None = None, *, ratio_of: RatioOf = "rates"
) -> EValue:
    """Give the smallest risk ratio that an unseen cause needs with both setting and outcome.

    Parameters
    ----------
    ratio, low, high : float
        The estimate and its interval, above 0.
    ratio_of : str
        ``risks`` or ``rates`` are taken as they are; ``odds`` of a common outcome by their square root.

    Raises
    ------
    DesignError
        If a ratio is not above 0.

    References
    ----------
    VanderWeele and Ding 2017, Annals of Internal Medicine 167:268-274 (from memory).
    """
    for value in (ratio, low, high):
        if value is not None and not (math.isfinite(value) and value > 0):
            raise DesignError(f"a ratio must be a number above 0, not {value}")
    power = 0.5 if ratio_of == "odds" else 1.0
    point = _needed(ratio**power)
    if low is None or high is None:
        return EValue(point=point, limit=None)
    nearer = low if ratio >= 1 else high
    includes_none = low <= 1 <= high
    return EValue(point=point, limit=1.0 if includes_none else _needed(nearer**power))


def _needed(ratio: float) -> float:
    above = max(ratio, 1 / ratio)
    return above + math.sqrt(above * (above - 1))
