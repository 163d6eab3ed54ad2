"""From a commanded speed to motion: speed rises at one steady rate, holds, and falls at another.

A plain model with closed forms, textbook kinematics of steady rates. With settings it runs in the chair's own scale,
where a rate is so many units of speed in one step of the model's clock and only the comparison of two sheets means
anything; with a measured run it runs in metres and seconds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rampbook.errors import EntryError


@dataclass(frozen=True, slots=True, kw_only=True)
class Ramp:
    """A speed that is reached at one rate and left at another.

    Attributes
    ----------
    speed : float
        The speed that is held, above 0.
    rise, fall : float
        How much speed is gained, and lost, in one unit of time; above 0.

    Raises
    ------
    EntryError
        When one of them is not a number above 0.
    """

    speed: float
    rise: float
    fall: float

    def __post_init__(self) -> None:
        """Refuse what cannot move, or never stops."""
        for name, value in (("speed", self.speed), ("acceleration", self.rise), ("deceleration", self.fall)):
            if not (math.isfinite(value) and value > 0):
                raise EntryError(
                    f"The {name} is {value:g}: the model of the motion needs a number above 0.",
                    field=name,
                    value=value,
                )

    @property
    def time_to_speed(self) -> float:
        """Time from rest to the speed: ``v / a``."""
        return self.speed / self.rise

    @property
    def distance_to_speed(self) -> float:
        """Distance from rest to the speed: ``v**2 / (2 a)``."""
        return self.speed**2 / (2 * self.rise)

    @property
    def stopping_time(self) -> float:
        """Time from the speed to rest: ``v / b``."""
        return self.speed / self.fall

    @property
    def stopping_distance(self) -> float:
        """Distance from the speed to rest: ``v**2 / (2 b)``, without anybody's reaction."""
        return self.speed**2 / (2 * self.fall)

    def peak(self, held: float) -> float:
        """Return the speed that is reached when the joystick is held that long: ``min(v, a * held)``."""
        return min(self.speed, self.rise * held)

    def speed_at(self, time: float, *, held: float) -> float:
        """Return the speed at a time after the joystick was pushed, and let go after ``held``."""
        if time <= 0:
            return 0.0
        if time <= held:
            return self.peak(time)
        return max(self.peak(held) - self.fall * (time - held), 0.0)

    def distance_at(self, time: float, *, held: float) -> float:
        """Return the distance covered by a time: the area under `speed_at`, in closed form."""
        pushed = min(max(time, 0.0), held)
        rising = min(pushed, self.time_to_speed)
        covered = self.rise * rising**2 / 2 + self.speed * (pushed - rising)
        peak = self.peak(held)
        falling = min(max(time - held, 0.0), peak / self.fall)
        return covered + peak * falling - self.fall * falling**2 / 2

    def time_over(self, distance: float) -> float:
        """Return the time over a distance from rest, full command held.

        Raises
        ------
        EntryError
            When the distance is not a number above 0.

        Notes
        -----
        ``D / v + v / (2 a)`` once the speed is reached within the distance, else ``sqrt(2 D / a)``.
        """
        if not (math.isfinite(distance) and distance > 0):
            raise EntryError(
                f"The distance is {distance:g}: it must be a number above 0.", field="distance", value=distance
            )
        if distance <= self.distance_to_speed:
            return math.sqrt(2 * distance / self.rise)
        return distance / self.speed + self.speed / (2 * self.rise)

    def corners(self, *, held: float) -> list[tuple[float, float]]:
        """Return the corners of speed against time: at rest, at speed, let go, and at rest again."""
        peak = self.peak(held)
        places = [(0.0, 0.0), (peak / self.rise, peak), (held, peak), (held + peak / self.fall, 0.0)]
        return list(dict.fromkeys(places))

    def in_units(self, *, speed: float, rise: float, fall: float) -> Ramp:
        """Return the same motion with its speed and rates multiplied: from the chair's own scale to metres."""
        return Ramp(speed=self.speed * speed, rise=self.rise * rise, fall=self.fall * fall)
