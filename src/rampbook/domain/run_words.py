"""What a measured run shows, in words and SI units."""

from __future__ import annotations

from rampbook.domain.kinematics import RunMeasure
from rampbook.domain.speed import POWERCHAIR_FOOTBALL
from rampbook.units import KMH_PER_M_S

NOT_A_STANDARD = (
    "Definitions are Rampbook's own; the standards for wheelchairs name these quantities, but this is no test to a "
    "standard, and sports chairs lie outside EN 12184."
)


def measure_lines(measured: RunMeasure) -> list[str]:
    """Return one line for each thing that was measured, then what is not shown."""
    kmh = measured.top_speed_m_s * KMH_PER_M_S
    what = "Top speed" if measured.is_steady else "Highest mean"
    lines = [f"{what}: {measured.top_speed_m_s:.2f} m/s ({kmh:.2f} km/h)"]
    if measured.time_to_share_s is not None:
        lines.append(
            f"Time to {measured.share:.0%} of it from rest: {measured.time_to_share_s:.2f} s over "
            f"{measured.distance_to_share_m or 0:.2f} m (acceleration {measured.acceleration_m_s2 or 0:.2f} m/s²)"
        )
    if measured.stopping_distance_m is not None:
        lines.append(
            f"Stopping: {measured.stopping_distance_m:.2f} m in {measured.stopping_time_s or 0:.2f} s "
            f"(deceleration {measured.deceleration_m_s2 or 0:.2f} m/s²), without anybody's reaction"
        )
    if measured.noise_m_s is not None:
        lines.append(f"Noise of a single sample: {measured.noise_m_s:.3f} m/s")
    if kmh > POWERCHAIR_FOOTBALL.gate_kmh:
        lines.append(
            f"That is above the sport's published limit of {POWERCHAIR_FOOTBALL.kmh:g} km/h: measure it over the "
            "published gate before the chair plays."
        )
    return [*lines, *measured.notes, NOT_A_STANDARD]
