"""The sport's published speed limit: a caution to check against, never something to reach for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rampbook.errors import EntryError
from rampbook.units import KMH_PER_M_S


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedLimit:
    """A published limit: the round figure, and the gate that the federation gives for the same limit.

    A chair that passes the gate in exactly the published time reads slightly above the round figure, so a
    passage is judged by the gate alone.
    """

    kmh: float
    gate_m: float
    gate_s: float

    @property
    def gate_kmh(self) -> float:
        """The speed of a chair that needs exactly the published time, km/h."""
        return speed_kmh(self.gate_m, self.gate_s)

    def passes(self, distance_m: float, seconds: float) -> bool:
        """Whether a passage is within the limit, forward or backward; a hair of rounding is forgiven."""
        speed = speed_kmh(distance_m, seconds)
        return speed <= self.gate_kmh or math.isclose(speed, self.gate_kmh, rel_tol=1e-9)


# FIPFA Laws of the Game 2020: 10 km/h forward and backward, also stated as 7 s over 19.5 m.
POWERCHAIR_FOOTBALL = SpeedLimit(kmh=10.0, gate_m=19.5, gate_s=7.0)


def speed_kmh(distance_m: float, seconds: float) -> float:
    """Return the mean speed over a distance, km/h.

    Raises
    ------
    EntryError
        When the distance or the time is not a number above 0.
    """
    for field, value in (("distance_m", distance_m), ("seconds", seconds)):
        if not (math.isfinite(value) and value > 0):
            raise EntryError(f"{field} is {value:g}: it must be a number above 0.", field=field, value=value)
    return distance_m / seconds * KMH_PER_M_S


def stopping_distance_m(speed_m_s: float, deceleration_m_s2: float, reaction_s: float = 0.0) -> float:
    """Return the distance to a stop at a steady deceleration, ``v * reaction + v**2 / (2 * b)``, metres."""
    if not deceleration_m_s2 > 0:
        raise EntryError(
            f"The deceleration is {deceleration_m_s2:g}: it must be above 0.",
            field="deceleration_m_s2",
            value=deceleration_m_s2,
        )
    return speed_m_s * reaction_s + speed_m_s**2 / (2 * deceleration_m_s2)
