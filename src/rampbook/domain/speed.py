"""The speed limit of the sport, and a measurement held against it: a caution to check against, never a goal.

A measurement is judged as it was read, by the gate that the rule itself gives. Beside that stands how far it could be
off, so that a result too close to tell is called so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rampbook.errors import EntryError
from rampbook.units import KMH_PER_M_S

DIRECTIONS = {"forward": "forward", "reverse": "backward"}
PRACTICE = "common practice, no source"
# Two standard errors of one reading: 95% of readings lie within, if they spread normally.
_Z = 1.96
_HAIR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedLimit:
    """A limit: the round figure, and the gate that the rule gives for the same limit, where it gives one.

    A chair that passes the published gate in exactly the published time reads slightly above the round figure, so a
    passage is judged by the gate alone. Without a gate the figure itself is the line.
    """

    kmh: float
    gate_m: float | None = None
    gate_s: float | None = None

    @property
    def gate_kmh(self) -> float:
        """The highest speed that passes: of a chair that needs exactly the published time, km/h."""
        if self.gate_m is None or self.gate_s is None:
            return self.kmh
        return speed_kmh(self.gate_m, self.gate_s)

    def passes(self, distance_m: float, seconds: float) -> bool:
        """Whether a passage is within the limit, forward or backward; a hair of rounding is forgiven."""
        return self.allows(speed_kmh(distance_m, seconds))

    def allows(self, speed: float) -> bool:
        """Whether a speed in km/h is within the limit; a hair of rounding is forgiven."""
        return speed <= self.gate_kmh or math.isclose(speed, self.gate_kmh, rel_tol=_HAIR)

    @property
    def words(self) -> str:
        """The limit, and the line that a passage is held against."""
        if self.gate_m is None or self.gate_s is None:
            return f"{self.kmh:g} km/h"
        gate = f"{self.gate_m:g} m in {self.gate_s:g} s ({self.gate_kmh:.3f} km/h)"
        return f"{self.kmh:g} km/h, by its published gate {gate}"


# FIPFA Laws of the Game 2020: 10 km/h forward and backward, also stated as 7 s over 19.5 m.
POWERCHAIR_FOOTBALL = SpeedLimit(kmh=10.0, gate_m=19.5, gate_s=7.0)
USUAL = dict.fromkeys(DIRECTIONS, POWERCHAIR_FOOTBALL)


def limit_of(kmh: float, gate_m: float | None = None, gate_s: float | None = None) -> SpeedLimit:
    """Return a club's limit; the published figure keeps its published gate.

    Raises
    ------
    EntryError
        When a number is not above 0, half a gate is given, or gate and figure are more than 2% apart.
    """
    if not (math.isfinite(kmh) and kmh > 0):
        raise EntryError(f"The limit is {kmh:g}: it must be a number above 0.", field="limit_kmh", value=kmh)
    if (gate_m is None) != (gate_s is None):
        raise EntryError("A gate needs both its metres and its seconds. Give both, or neither.", field="gate_s")
    if gate_m is None and kmh == POWERCHAIR_FOOTBALL.kmh:
        return POWERCHAIR_FOOTBALL
    limit = SpeedLimit(kmh=kmh, gate_m=gate_m, gate_s=gate_s)
    if abs(limit.gate_kmh / kmh - 1) > 0.02:
        raise EntryError(
            f"The gate {gate_m:g} m in {gate_s:g} s is {limit.gate_kmh:.2f} km/h, not {kmh:g}. "
            "Read both again in the rule that you play under.",
            field="gate_s",
            value=gate_s,
        )
    return limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """A way to measure, and how far one reading spreads (one standard deviation), with where that figure is from.

    ``spread_s`` is of the time through a gate, seconds; ``spread_kmh`` of a speed that is read off. ``reads_short_s``
    is by how much a hand stops the clock too early, seconds: it is told and never taken off, so that doubt never
    speaks for a faster chair.
    """

    words: str
    source: str
    spread_s: float
    spread_kmh: float
    reads_short_s: tuple[float, float] | None = None


METHODS = {
    "stopwatch": Method(
        words="by stopwatch",
        spread_s=0.07,
        spread_kmh=0.1,
        reads_short_s=(0.22, 0.31),
        source="sprints by hand against electronic timing, spread 0.07 s: Mayhew and others 2010, J Strength Cond Res "
        "24:447; Mann and others 2015, J Strength Cond Res 29:1509",
    ),
    "gates": Method(words="by electronic gates", spread_s=0.01, spread_kmh=0.02, source=PRACTICE),
    "rollers": Method(words="on rollers", spread_s=0.01, spread_kmh=0.1, source=PRACTICE),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A measurement held against a limit; margins are positive below the limit, all in km/h.

    Attributes
    ----------
    kmh, low, high : float
        The speed as read, and its 95% range by the timing error alone; ``high`` is None where the time is no longer
        than its error.
    margin_kmh, margin_low, margin_high : float
        What is left to the limit, with the same range.
    passes : bool
        As read, by the rule's own gate.
    clear : bool
        Whether the whole range is on one side of the limit.
    error_s : float or None
        Half the range of the time, seconds; None for a speed that was read off.
    """

    kmh: float
    low: float
    high: float | None
    margin_kmh: float
    margin_low: float | None
    margin_high: float
    passes: bool
    clear: bool
    error_s: float | None

    @property
    def result(self) -> str:
        """``passes`` or ``does not pass``, as read."""
        return "passes" if self.passes else "does not pass"

    @property
    def tells(self) -> str:
        """``clear``, or that the timing error could turn the result over."""
        return "clear" if self.clear else "cannot tell within the timing error"


def judge(
    limit: SpeedLimit,
    method: str,
    *,
    gate_m: float | None = None,
    seconds: float | None = None,
    read_kmh: float | None = None,
) -> Judged:
    """Hold one measurement against a limit: a gate and its time, or a speed that was read off.

    Raises
    ------
    EntryError
        When a number is not above 0, or neither a whole gate nor a speed is given.

    Examples
    --------
    >>> judge(POWERCHAIR_FOOTBALL, "stopwatch", gate_m=19.5, seconds=7.0).result
    'passes'
    >>> judge(POWERCHAIR_FOOTBALL, "stopwatch", gate_m=19.5, seconds=6.8).result
    'does not pass'
    """
    if gate_m is not None and seconds is not None and read_kmh is None:
        error_s = _Z * METHODS[method].spread_s
        kmh, low = speed_kmh(gate_m, seconds), speed_kmh(gate_m, seconds + error_s)
        return _judged(limit, kmh, low, speed_kmh(gate_m, seconds - error_s) if seconds > error_s else None, error_s)
    if read_kmh is None or gate_m is not None or seconds is not None:
        raise EntryError("Give the gate's metres and the seconds, or the speed that was read off, not both.")
    kmh = speed_kmh(read_kmh / KMH_PER_M_S, 1.0)
    error = _Z * METHODS[method].spread_kmh
    return _judged(limit, kmh, max(kmh - error, 0.0), kmh + error, None)


def _judged(limit: SpeedLimit, kmh: float, low: float, high: float | None, error_s: float | None) -> Judged:
    line, passes = limit.gate_kmh, limit.allows(kmh)
    return Judged(
        kmh=kmh, low=low, high=high,
        margin_kmh=line - kmh, margin_low=None if high is None else line - high, margin_high=line - low,
        passes=passes, clear=(high is not None and high <= line) if passes else low > line, error_s=error_s,
    )  # fmt: skip


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
