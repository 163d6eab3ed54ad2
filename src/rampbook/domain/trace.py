"""The samples of one run: refused where they cannot be a run, and cleaned of noise."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rampbook.errors import EntryError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FEWEST_SAMPLES = 10
LONGEST_STEP_S = 0.5
# Speed is a running mean over this much time; distance becomes speed as a slope over a little more.
_SMOOTH_S, _SLOPE_S = 0.2, 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """Samples of one run: time in seconds, and speed in metres a second, or distance covered in metres."""

    time_s: tuple[float, ...]
    speed_m_s: tuple[float, ...] | None = None
    distance_m: tuple[float, ...] | None = None


def with_speed(trace: Trace) -> Trace:
    """Return the trace with speed in metres a second, worked out from the distance where it gave distance."""
    import numpy as np

    if trace.speed_m_s is not None:
        return trace
    speed = speed_of(trace, np.asarray(trace.time_s, dtype=float))
    return Trace(time_s=trace.time_s, speed_m_s=tuple(float(v) for v in speed))


def trace_of(samples: Sequence[dict[str, float | None]]) -> Trace:
    """Return a trace from rows with ``time_s`` and ``speed_m_s`` or ``distance_m``; speed comes first."""
    times = tuple(float(row["time_s"] or 0.0) for row in samples)
    columns = {
        name: tuple(float(value) for row in samples if (value := row[name]) is not None)
        for name in ("speed_m_s", "distance_m")
    }
    if len(columns["speed_m_s"]) == len(times):
        return Trace(time_s=times, speed_m_s=columns["speed_m_s"])
    return Trace(time_s=times, distance_m=columns["distance_m"])


def speed_of(trace: Trace, times: Floats) -> Floats:
    """Return the speed of every sample, metres a second."""
    import numpy as np

    if trace.speed_m_s is not None:
        return np.asarray(trace.speed_m_s, dtype=float)
    return _slopes(times, np.asarray(trace.distance_m, dtype=float))


def _slopes(times: Floats, distance: Floats) -> Floats:
    """Return, at each time, the slope of the straight line of least squares through the samples around it."""
    import numpy as np

    half = max(_SLOPE_S / 2, 1.01 * float(np.median(np.diff(times))))
    lows, highs = np.searchsorted(times, times - half - 1e-9), np.searchsorted(times, times + half + 1e-9)
    slopes = np.empty_like(times)
    for i, (low, high) in enumerate(zip(lows, highs, strict=True)):
        t = times[low:high] - times[low:high].mean()
        slopes[i] = float(t @ distance[low:high]) / float(t @ t)
    return slopes


def median_of_three(speed: Floats) -> Floats:
    """Return the running median of three samples: a single glitch goes, a ramp stays."""
    import numpy as np

    padded = np.concatenate([speed[:1], speed, speed[-1:]])
    middle: Floats = np.median(np.stack([padded[:-2], padded[1:-1], padded[2:]]), axis=0)
    return middle


def cleaned(speed: Floats, clock: Floats) -> Floats:
    """Return the running mean over 0.2 s; the ends are carried on, so that nothing bends there."""
    import numpy as np

    half = max(round(_SMOOTH_S / 2 / float(clock[1] - clock[0])), 0)
    padded = np.pad(speed, half, mode="edge")
    smooth: Floats = np.convolve(padded, np.full(2 * half + 1, 1 / (2 * half + 1)), mode="valid")
    return smooth


def noise_of(speed: Floats) -> float:
    """Return the spread of a sample about the mean of its neighbours: a robust one, since ramps bend little."""
    import numpy as np

    bends = speed[1:-1] - (speed[:-2] + speed[2:]) / 2
    return float(1.4826 * np.median(np.abs(bends)) / np.sqrt(1.5))


def refuse_times(times: Floats) -> None:
    """Refuse too few samples, times that do not rise, and gaps in which a run may have changed."""
    import numpy as np

    if times.size < FEWEST_SAMPLES:
        raise EntryError(
            f"The trace has {times.size} samples: it needs at least {FEWEST_SAMPLES}.", field="time_s"
        )
    steps = np.diff(times)
    back = (steps <= 0).nonzero()[0]
    if back.size:
        raise EntryError(
            f"Sample {back[0] + 2}, time_s is {times[back[0] + 1]:g}: it must be later than the sample before it "
            f"({times[back[0]]:g}).",
            field="time_s",
            value=float(times[back[0] + 1]),
        )
    gap = int(steps.argmax())
    if steps[gap] > LONGEST_STEP_S:
        raise EntryError(
            f"Sample {gap + 2}, time_s is {times[gap + 1]:g}: that is {steps[gap]:.3g} s after the sample before it, "
            f"and a run may have changed in between. Samples must be at most {LONGEST_STEP_S:g} s apart.",
            field="time_s",
            value=float(times[gap + 1]),
        )


def refuse_unlike(trace: Trace) -> None:
    """Refuse samples that are not numbers, or not one for each time."""
    for name, values in (("speed_m_s", trace.speed_m_s), ("distance_m", trace.distance_m)):
        if values is None:
            continue
        bad = [i for i, value in enumerate(values) if not math.isfinite(value)]
        if bad:
            raise EntryError(
                f"Sample {bad[0] + 1}, {name} is {values[bad[0]]:g}: it must be a number.", field=name, value=bad[0]
            )
        if len(values) != len(trace.time_s):
            raise EntryError(
                f"There are {len(trace.time_s)} times and {len(values)} values of {name}: give one for each time.",
                field=name,
            )
        return
    raise EntryError("A trace needs speed_m_s or distance_m beside time_s.", field="speed_m_s")


def refuse_both_ways(clock: Floats, speed: Floats) -> None:
    """Refuse a trace that goes forward and backward: its parts are two runs."""
    lowest = int(speed.argmin())
    if speed[lowest] < -0.2 * float(speed.max()):
        raise EntryError(
            f"At time_s {clock[lowest]:.2f} the chair moves the other way ({speed[lowest]:.2f} m/s). A run goes one "
            "way, from rest to rest: save each way as a trace of its own.",
            field="speed_m_s",
            value=float(speed[lowest]),
        )
