"""Everything that the picture of a response is drawn from: one or two sheets, and a measured run laid over them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rampbook.domain.kinematics import RunMeasure, Trace
from rampbook.domain.motion import Ramp
from rampbook.domain.response import Response
from rampbook.domain.throw import USUAL, ThrowDefinition


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One sheet: ``word`` is short enough to stand at a line, ``told`` says which sheet it is."""

    word: str
    told: str
    response: Response


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlay:
    """A measured run, and what one unit of the chair's own scale came to in it.

    Attributes
    ----------
    direction : str
        ``forward`` or ``reverse``.
    told : str
        Which run it is, in words.
    measured : RunMeasure
        What it shows.
    dial_percent : float
        Position of the speed dial on the run.
    trace : Trace or None
        Its samples.
    speed : float or None
        Metres a second for one unit of the speed setting in force on the run; None when the sheet of that day does
        not say it.
    rise, fall : float or None
        Metres a second squared for one unit of acceleration and deceleration.
    """

    direction: str
    told: str
    measured: RunMeasure
    dial_percent: float = 100.0
    trace: Trace | None = None
    speed: float | None = None
    rise: float | None = None
    fall: float | None = None

    @property
    def is_timed(self) -> bool:
        """Whether speed and both rates are known in metres and seconds."""
        return None not in (self.speed, self.rise, self.fall)

    def in_metres(self, ramp: Ramp) -> Ramp:
        """Return a motion of the chair's own scale in metres and seconds, in proportion to the run."""
        return ramp.in_units(speed=self.speed or 1.0, rise=self.rise or 1.0, fall=self.fall or 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseDrawing:
    """What is drawn.

    Attributes
    ----------
    title : str
        What the picture is of.
    sides : tuple of Side
        One sheet, or two: before and after.
    dial_told : str
        Where the dial's position comes from.
    definition : ThrowDefinition
        What the throw numbers mean.
    definition_told : str
        Where that meaning comes from.
    overlay : Overlay or None
        A measured run.
    cautions : tuple of str
        The lines that stand wherever a setting is shown.
    changed : mapping of str to tuple
        The settings that differ, each with its value before and after; None where it is not on a sheet.
    """

    title: str
    sides: tuple[Side, ...]
    dial_told: str
    definition: ThrowDefinition = USUAL
    definition_told: str = "the usual meaning; the chair's record does not say"
    overlay: Overlay | None = None
    cautions: tuple[str, ...] = ()
    changed: Mapping[str, tuple[float | None, float | None]] | None = None

    def ramp(self, side: Side, motion: str) -> Ramp | None:
        """Return a motion of one side: in metres and seconds where a timed run of that direction says how."""
        ramp = side.response.ramps.get(motion)
        if ramp is None or self.overlay is None or not self.is_in_metres(motion):
            return ramp
        return self.overlay.in_metres(ramp)

    def is_speed_in_metres(self, motion: str) -> bool:
        """Whether at least the speed of a motion is known in metres a second."""
        return self.overlay is not None and self.overlay.direction == motion and self.overlay.speed is not None

    def is_in_metres(self, motion: str) -> bool:
        """Whether a motion is drawn in metres and seconds."""
        return self.overlay is not None and self.overlay.direction == motion and self.overlay.is_timed
