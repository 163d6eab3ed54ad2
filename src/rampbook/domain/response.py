"""How far the joystick is moved and how much is commanded: a plain model, not any chair's controller."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from rampbook.domain.motion import Ramp
from rampbook.domain.rules import effective_value, known
from rampbook.domain.throw import USUAL, ThrowDefinition, throw_share
from rampbook.errors import EntryError

# Each way the joystick goes, and the settings that say how much a full command is worth there.
WAYS = {"forward": "forward_speed", "reverse": "reverse_speed", "left": "turn_speed", "right": "turn_speed"}
# Each motion, and the settings of its speed and of the rates at which it comes and goes.
MOTIONS = {
    "forward": ("forward_speed", "acceleration", "deceleration"),
    "reverse": ("reverse_speed", "acceleration", "deceleration"),
    "turn": ("turn_speed", "turn_acceleration", "turn_deceleration"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectionCurve:
    """What one direction of the joystick commands.

    Attributes
    ----------
    way : str
        ``forward``, ``reverse``, ``left`` or ``right``.
    deadband : float
        The share of travel up to which the command is zero.
    throw : float
        The share of travel at which the command is full; above 1 when that is beyond the joystick's travel.
    full : float or None
        What a full command is worth at the dial's position, in the chair's own scale; None when not known.
    bottom, top : float or None
        The same with the dial at its bottom and at its top.
    """

    way: str
    deadband: float
    throw: float
    full: float | None = None
    bottom: float | None = None
    top: float | None = None

    def share(self, deflection: float) -> float:
        """Return the share of full command at a deflection from 0 to 1."""
        return command_share(deflection, deadband=self.deadband, throw=self.throw)

    @property
    def gain(self) -> float:
        """Share of full command for one whole travel, outside the deadband."""
        return gain(deadband=self.deadband, throw=self.throw)

    @property
    def felt_gain(self) -> float | None:
        """The gain in the chair's own scale, which the dial and the speed settings change too; None when not known."""
        return None if self.full is None else self.gain * self.full

    def corners(self) -> list[tuple[float, float]]:
        """Return the corners of command against deflection, both from 0 to 1."""
        places = [(0.0, 0.0), (self.deadband, 0.0), (min(self.throw, 1.0), self.share(min(self.throw, 1.0)))]
        return list(dict.fromkeys([*places, (1.0, self.share(1.0))]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """What a sheet answers to the joystick, in a plain model.

    Attributes
    ----------
    curves : mapping of str to DirectionCurve
        By way, those that the sheet can answer.
    ramps : mapping of str to Ramp
        By motion (forward, reverse, turn), in the chair's own scale at the dial's position.
    missing : mapping of str to tuple of str
        For each way or motion that cannot be drawn (``left``, ``turn in time``): the settings not on the sheet.
    dial_percent : float
        Position of the speed dial.
    """

    curves: Mapping[str, DirectionCurve]
    ramps: Mapping[str, Ramp]
    missing: Mapping[str, tuple[str, ...]]
    dial_percent: float


def response_of(
    sheet: Mapping[str, float], *, dial_percent: float = 100.0, definition: ThrowDefinition = USUAL
) -> Response:
    """Return what a sheet answers to the joystick; what it cannot answer is named with what is missing.

    Parameters
    ----------
    sheet : mapping of str to float
        The values in force; throw and deadband in percent of travel, the rest in the chair's own scale.
    dial_percent : float
        Position of the speed dial, percent; speeds and rates lie between their ``_min`` and ``_max`` by it.
    definition : ThrowDefinition
        What the throw numbers mean.

    Raises
    ------
    EntryError
        When the dial is not between 0 and 100, or two values cannot go together.
    """
    curves, ramps, missing = {}, {}, {}
    for way, speed in WAYS.items():
        wanted = _absent(sheet, (f"throw_{way}", "deadband"))
        if wanted:
            missing[way] = wanted
            continue
        deadband = sheet["deadband"] / 100
        throw = throw_share(sheet[f"throw_{way}"], definition=definition, deadband=deadband)
        _refuse_impossible(deadband, throw)
        curves[way] = DirectionCurve(
            way=way, deadband=deadband, throw=throw, full=at_dial(sheet, speed, dial_percent),
            bottom=at_dial(sheet, speed, 0.0), top=at_dial(sheet, speed, 100.0),
        )  # fmt: skip
    for motion, stems in MOTIONS.items():
        values = [at_dial(sheet, stem, dial_percent) for stem in stems]
        if all(values):
            ramps[motion] = Ramp(**dict(zip(("speed", "rise", "fall"), (v for v in values if v), strict=True)))
        else:
            missing[f"{motion} in time"] = tuple(
                name for stem, value in zip(stems, values, strict=True) if not value for name in _ends(sheet, stem)
            )
    return Response(curves=curves, ramps=ramps, missing=missing, dial_percent=dial_percent)


def at_dial(sheet: Mapping[str, float], stem: str, dial_percent: float) -> float | None:
    """Return the value in force at a position of the dial; None when the end it depends on is not on the sheet.

    At its top or bottom the dial depends on one end alone.
    """
    low, high = (sheet[name] if known(sheet, name) else None for name in (f"{stem}_min", f"{stem}_max"))
    if dial_percent == 100 and high is not None:
        return high
    if dial_percent == 0 and low is not None:
        return low
    if low is None or high is None:
        return None
    return effective_value(low, high, dial_percent)


def _absent(sheet: Mapping[str, float], names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(name for name in names if not known(sheet, name))


def _ends(sheet: Mapping[str, float], stem: str) -> tuple[str, ...]:
    """Return the ends that are not on the sheet; both when they are there and are zero: nothing would move."""
    names = (f"{stem}_min", f"{stem}_max")
    return _absent(sheet, names) or names


def command_share(deflection: float, *, deadband: float, throw: float) -> float:
    """Return the share of full command, 0 to 1, at a deflection of the joystick.

    Parameters
    ----------
    deflection : float
        How far the joystick is moved, as a share of its full travel; the sign is the direction.
    deadband : float
        The share of travel up to which the command is zero.
    throw : float
        The share of travel at which the command reaches 100%.

    Returns
    -------
    float
        ``clip((|r| - d) / (T - d), 0, 1)`` with the sign of the deflection: it starts from zero at the
        edge of the deadband, without a jump.

    Raises
    ------
    EntryError
        When a number is not finite, the deadband is negative, or the throw is not above the deadband.

    Notes
    -----
    Linear scaling outside a dead zone is common practice, no source. A chair may shape it otherwise.

    Examples
    --------
    >>> command_share(0.5, deadband=0.0, throw=0.5)
    1.0
    >>> command_share(0.08, deadband=0.1, throw=1.0)
    0.0
    """
    _refuse_impossible(deadband, throw)
    if not math.isfinite(deflection):
        raise EntryError(
            f"The deflection is {deflection}: it must be a number.", field="deflection", value=deflection
        )
    share = (abs(deflection) - deadband) / (throw - deadband)
    return math.copysign(min(max(share, 0.0), 1.0), deflection) if share > 0 else 0.0


def gain(*, deadband: float, throw: float) -> float:
    """Return how much command one unit of travel gives outside the deadband: ``1 / (T - d)``.

    It grows when the throw shrinks or the deadband grows, so either also changes how quick the chair feels:
    changing one setting isolates the knob, not everything the athlete feels.
    """
    _refuse_impossible(deadband, throw)
    return 1 / (throw - deadband)


def _refuse_impossible(deadband: float, throw: float) -> None:
    if not (math.isfinite(deadband) and math.isfinite(throw) and 0 <= deadband < throw):
        raise EntryError(
            f"A deadband of {deadband:g} and a throw of {throw:g} cannot go together: the throw must be "
            "above the deadband, and the deadband not negative.",
            field="throw",
            value=throw,
        )
