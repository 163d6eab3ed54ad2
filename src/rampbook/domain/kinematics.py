"""What a measured run says: top speed, time to speed, stopping distance, in metres and seconds.

The definitions are Rampbook's own. Published standards name the quantities: the 2018 edition of ISO 7176-6 covers the
maximum speed on a level plane of wheelchairs up to 15 km/h, its 2001 edition acceleration and deceleration too, and
ISO 7176-3 the stopping distance. Only their scopes were at hand, not their procedures, and EN 12184 leaves out chairs
for sports; so no run here is a test to a standard.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rampbook.domain.trace import (
    Trace,
    cleaned,
    median_of_three,
    noise_of,
    refuse_both_ways,
    refuse_times,
    refuse_unlike,
    speed_of,
    trace_of,
    with_speed,
)
from rampbook.errors import EntryError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["RunMeasure", "Trace", "measure_gate", "measure_trace", "trace_of", "with_speed"]

SHARE = 0.9
STANDARD_KMH = 15.0
"""Scope of ISO 7176-6:2018: chairs up to 15 km/h. A faster reading is more likely a mistake of units."""

SUSTAINED_S = 1.0
FASTEST_M_S = 8.0
# A sample belongs to the steady stretch when the mean of the second around it comes this near the best second.
_STEADY = 0.97
_REST = 0.05
_NOISY = 0.08


@dataclass(frozen=True, slots=True, kw_only=True)
class RunMeasure:
    """What a run says; what it does not show is None, and ``notes`` says why.

    Attributes
    ----------
    top_speed_m_s : float
        Median speed of the steady stretch, or the highest mean over one second when there is none; over a gate, the
        mean speed.
    is_steady : bool
        Whether the top speed was held for a second.
    share : float
        The share of top speed that ``time_to_share_s`` is about.
    time_to_share_s, distance_to_share_m : float or None
        From the start of motion to that share of top speed.
    acceleration_m_s2 : float or None
        Mean, between 20% and 80% of top speed.
    stopping_time_s, stopping_distance_m : float or None
        From the start of braking to rest.
    deceleration_m_s2 : float or None
        Mean, between 80% and 20% of top speed.
    starts_s, brakes_s, rests_s : float or None
        When motion began, braking began, and rest was reached, on the trace's own clock.
    covered_m : float or None
        Distance covered in the whole trace.
    noise_m_s : float or None
        Spread of a single sample of speed about its neighbours (standard deviation).
    notes : tuple of str
        What is not shown, and why.
    """

    top_speed_m_s: float
    is_steady: bool
    share: float = SHARE
    time_to_share_s: float | None = None
    distance_to_share_m: float | None = None
    acceleration_m_s2: float | None = None
    stopping_time_s: float | None = None
    stopping_distance_m: float | None = None
    deceleration_m_s2: float | None = None
    starts_s: float | None = None
    brakes_s: float | None = None
    rests_s: float | None = None
    covered_m: float | None = None
    noise_m_s: float | None = None
    notes: tuple[str, ...] = ()


def measure_gate(distance_m: float, seconds: float, *, start: str) -> RunMeasure:
    """Return what a distance and a time say: the mean speed, and with a flying start the speed that was held.

    Raises
    ------
    EntryError
        When either is not a number above 0, or the speed cannot be a powerchair's.
    """
    for field, value in (("distance_m", distance_m), ("seconds", seconds)):
        if not 0 < value < float("inf"):
            raise EntryError(f"{field} is {value:g}: it must be a number above 0.", field=field, value=value)
    speed = distance_m / seconds
    if speed > FASTEST_M_S:
        raise EntryError(_too_fast(speed, f"{distance_m:g} m in {seconds:g} s"), field="seconds", value=seconds)
    notes = ["A distance and a time give one mean speed; time to speed and stopping distance need a speed trace."]
    if start == "standing":
        notes.insert(0, "From a standing start the top speed is above this mean; how far above is not shown.")
    return RunMeasure(top_speed_m_s=speed, is_steady=start == "flying", notes=tuple(notes))


def measure_trace(trace: Trace, *, share: float = SHARE) -> RunMeasure:
    """Return what a speed trace says.

    Parameters
    ----------
    trace : Trace
        Samples in order of time, of one run that starts at rest, is held at full command and ends at rest.
    share : float
        The share of top speed for ``time_to_share_s``, from 0.3 to 0.9.

    Raises
    ------
    EntryError
        When the samples cannot be a run: too few, too far apart, out of order, too fast, or mostly noise.

    Notes
    -----
    Speed is cleaned by a running median of three samples (a single glitch goes) and a running mean of 0.2 s; a trace
    of distance becomes speed as the slope of a straight line over 0.3 s. The top speed is the median of the cleaned
    samples whose surrounding second comes within 3% of the best second, which unlike a maximum does not grow with
    noise. A level is crossed at the mean of its first and last crossing. The start of motion is where the straight
    line through the crossings of 10% and 30% of top speed comes to zero; the start of braking, and rest, likewise
    from 90% and 70%, and from 30% and 10%. A steady rate gives exactly the closed forms ``v / a`` and ``v**2 / 2b``.
    """
    import numpy as np

    if not 0.3 <= share <= 0.9:
        raise EntryError(f"The share of top speed is {share:g}: it must be 0.3 to 0.9.", field="share", value=share)
    times = np.asarray(trace.time_s, dtype=float)
    refuse_times(times)
    refuse_unlike(trace)
    clock = np.arange(times[0], times[-1] + 1e-9, min(float(np.median(np.diff(times))), 0.02))
    raw = speed_of(trace, times)
    if float(np.sum(raw)) < 0:
        raw = -raw  # Driven backward: the sign is the direction, and speed has none.
    noise = noise_of(raw)
    speed = cleaned(np.interp(clock, times, median_of_three(raw)), clock)
    refuse_both_ways(clock, speed)
    top, is_steady, inside = _top_speed(clock, speed)
    _refuse_speed(top, noise)
    notes = [] if is_steady else ["The speed was not held for a second: the top speed may be higher than this."]
    if top * 3.6 > STANDARD_KMH:
        notes.append(f"Above {STANDARD_KMH:g} km/h: check that the speeds are in metres a second.")
    levels = _Levels(clock=clock, speed=speed, top=top, first=inside[0], last=inside[1])
    return _measured(levels, share, noise, is_steady, notes)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Levels:
    """A cleaned trace with its steady stretch, and the times at which it crosses levels."""

    clock: Floats
    speed: Floats
    top: float
    first: int
    last: int

    def up(self, share: float) -> float | None:
        """Time of the rise through a share of top speed; None when the trace does not begin below it."""
        before = self.speed[: self.first + 1]
        resting = (before <= _REST * self.top).nonzero()[0]
        if not resting.size:
            return None
        return _crossing(self.clock, self.speed, int(resting[-1]), self.first, share * self.top)

    def down(self, share: float) -> float | None:
        """Time of the fall through a share of top speed; None when the trace does not end at rest."""
        resting = (self.speed[self.last :] <= _REST * self.top).nonzero()[0]
        if not resting.size:
            return None
        return _crossing(self.clock, self.speed, self.last, self.last + int(resting[0]), share * self.top)

    def distance(self, start: float, end: float) -> float:
        """Area under the speed between two times, metres."""
        import numpy as np

        inside = self.clock[(self.clock > start) & (self.clock < end)]
        places = np.concatenate([[start], inside, [end]])
        return float(np.trapezoid(np.interp(places, self.clock, self.speed), places))


def _measured(levels: _Levels, share: float, noise: float, is_steady: bool, notes: list[str]) -> RunMeasure:
    """Read the rise and the fall of a cleaned trace."""
    found: dict[str, Any] = {"covered_m": levels.distance(float(levels.clock[0]), float(levels.clock[-1]))}
    ups = [levels.up(level) for level in (0.1, 0.2, 0.3, 0.8, share)]
    if any(time is None for time in ups):
        notes.append("The trace does not begin at rest: time to speed is not shown.")
    else:
        tenth, fifth, third, most, reached = (float(time or 0.0) for time in ups)
        start = tenth - (third - tenth) / 2
        found |= {
            "starts_s": start, "time_to_share_s": reached - start,
            "distance_to_share_m": levels.distance(start, reached),
            "acceleration_m_s2": 0.6 * levels.top / (most - fifth),
        }  # fmt: skip
    downs = [levels.down(level) for level in (0.9, 0.8, 0.7, 0.3, 0.2, 0.1)]
    if any(time is None for time in downs):
        notes.append("The trace does not end at rest: stopping distance is not shown.")
    else:
        most, high, upper, third, fifth, tenth = (float(time or 0.0) for time in downs)
        brake, rest = most - (upper - most) / 2, tenth + (tenth - third) / 2
        found |= {
            "brakes_s": brake, "rests_s": rest, "stopping_time_s": rest - brake,
            "stopping_distance_m": levels.distance(brake, rest),
            "deceleration_m_s2": 0.6 * levels.top / (fifth - high),
        }  # fmt: skip
    return RunMeasure(
        top_speed_m_s=levels.top, is_steady=is_steady, share=share, noise_m_s=noise, notes=tuple(notes), **found
    )


def _crossing(clock: Floats, speed: Floats, first: int, last: int, level: float) -> float | None:
    """Return the mean of the first and the last time at which the speed crosses a level between two samples."""
    above = speed[first : last + 1] >= level
    flips = (above[1:] != above[:-1]).nonzero()[0] + first
    if not flips.size:
        return None
    times = [
        clock[i] + (level - speed[i]) / (speed[i + 1] - speed[i]) * (clock[i + 1] - clock[i])
        for i in (int(flips[0]), int(flips[-1]))
    ]
    return float(sum(times) / 2)


def _top_speed(clock: Floats, speed: Floats) -> tuple[float, bool, tuple[int, int]]:
    """Return the top speed, whether it was held for a second, and the first and last sample of the steady stretch."""
    import numpy as np

    step = float(clock[1] - clock[0])
    width = max(round(SUSTAINED_S / step), 1)
    if width >= clock.size:
        raise EntryError(
            f"The trace is {clock[-1] - clock[0]:.2g} s long: a top speed needs more than {SUSTAINED_S:g} s.",
            field="time_s",
        )
    seconds = np.convolve(speed, np.full(width, 1 / width), mode="valid")
    best = float(seconds.max())
    good = (seconds >= _STEADY * best).nonzero()[0]
    # The longest stretch without a break that holds the best second.
    runs = np.split(good, (np.diff(good) > 1).nonzero()[0] + 1)
    best_at = int(seconds.argmax())
    run = next(one for one in runs if one[0] <= best_at <= one[-1])
    middles = int(run[0]) + width // 2, int(run[-1]) + width // 2
    held = speed[middles[0] : middles[1] + 1]
    top = float(np.median(held))
    # Rounded shoulders are no plateau: the whole best second must stay near its median.
    second = speed[best_at : best_at + width]
    is_steady = bool(second.min() >= 0.95 * float(np.median(second)))
    return (top if is_steady else best), is_steady, middles


def _refuse_speed(top: float, noise: float) -> None:
    if top > FASTEST_M_S:
        raise EntryError(_too_fast(top, "the trace"), field="speed_m_s", value=top)
    if top <= 0.05 or noise > _NOISY * top:
        raise EntryError(
            f"The top speed is {top:.2f} m/s and a single sample is off by {noise:.2f} m/s (standard deviation): "
            f"more than {_NOISY:.0%} of it. Nothing can be read from this; measure again, or average before saving.",
            field="speed_m_s",
            value=top,
        )


def _too_fast(speed: float, what: str) -> str:
    return (
        f"{what} comes to {speed:.3g} m/s, which is {speed * 3.6:.3g} km/h: no powerchair in play drives that. "
        "Check the units: speed in metres a second, distance in metres, time in seconds."
    )
