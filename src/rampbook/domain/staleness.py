"""Whether something happened since a measurement that could have moved the speed: then the measurement is stale.

What counts is common practice, no source. In doubt a measurement is stale: measuring again costs a minute.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from rampbook.domain.catalogue import DEFAULT
from rampbook.domain.events import EVENTS

# How the chair slows or turns: a straight pass at a steady speed does not depend on it.
_NEVER = ("deceleration_", "turn_", "throw_left", "throw_right")
_OF_ONE_WAY = {
    "forward": ("reverse_speed_", "throw_reverse"),
    "reverse": ("forward_speed_", "throw_forward"),
}
EVENTS_THAT_COUNT: dict[str, str] = {
    "new_joystick": "full command may lie elsewhere",
    "calibration": "full command may lie elsewhere",
    "tyres": "another wheel size or pressure is another speed",
    "battery": "another voltage is another speed",
    "surface": "another floor may roll otherwise",
    "seating": "reach and weight may be other than they were",
    "other": "nobody can know from here; read the note",
}
# Two rows of one load are logged microseconds apart, in no order that means anything.
_ONE_LOAD = timedelta(seconds=0.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """When something happened, as far as it was noted, and when it was logged."""

    on: date
    at: time | None
    logged_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One thing since a measurement that could have moved the speed."""

    on: date
    what: str
    why: str

    @property
    def words(self) -> str:
        """The doubt as a person reads it."""
        return f"{self.what} on {self.on.isoformat()}: {self.why}"


def setting_counts(setting: str, direction: str) -> bool:
    """Whether a setting could move the top speed that the athlete reaches in a direction.

    A setting that a club has added counts: what it does is not known here. Acceleration counts, since a short run-up
    may end below the top speed; throw and deadband count, since they decide whether the stick reaches full command.

    Examples
    --------
    >>> setting_counts("forward_speed_max", "forward"), setting_counts("forward_speed_max", "reverse")
    (True, False)
    """
    if setting not in DEFAULT.settings:
        return True
    return not setting.startswith((*_NEVER, *_OF_ONE_WAY[direction]))


def event_counts(event: str) -> bool:
    """Whether an event could move the top speed; illness, growth and another timer do not make a chair faster."""
    return event in EVENTS_THAT_COUNT or event not in EVENTS


def is_since(happened: Moment, measured: Moment) -> bool:
    """Whether something came after a measurement, or may have.

    On one day the times of day tell; where one of them is not noted, the order of logging does. Where that does not
    tell either, it may have come after.
    """
    if happened.on != measured.on:
        return happened.on > measured.on
    if happened.at is not None and measured.at is not None:
        return happened.at >= measured.at
    return happened.logged_at > measured.logged_at - _ONE_LOAD
