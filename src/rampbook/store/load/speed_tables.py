"""The tables of measured speeds, of the limits they are held against, and of the match profiles."""

from __future__ import annotations

from rampbook.domain.speed import DIRECTIONS, METHODS
from rampbook.store.load.spec import Column, RowRule, TableSpec

_AGAIN = "Correct the cell and load the file again."
# Headings that mean a speed, once units and marks are taken off.
_SPEEDS = ("speed", "km_h", "kmh")
_ON = Column(name="on", kind="date", required=True)
_ATHLETE = Column(name="athlete", kind="code", required=True)
_CHAIR = Column(name="chair", kind="code")
_PROFILE = Column(name="profile", kind="whole", low=0, required=True)
_DIRECTION = Column(name="direction", kind="choice", choices=tuple(DIRECTIONS), required=True)


def _positive(name: str, *, required: bool = False) -> Column:
    return Column(name=name, kind="number", above=0, required=required)


SPEED_TABLES = (
    TableSpec(
        name="speed_passes",
        id="entry",
        key=(
            "athlete", "chair", "profile", "direction", "on", "time", "gate_m", "seconds", "speed_kmh", "method",
            "timer",
        ),
        needs=("athlete", "direction", "method", "on"),
        columns=(
            _ATHLETE,
            _CHAIR,
            _PROFILE,
            _DIRECTION,
            _ON,
            Column(name="time", kind="time"),
            _positive("gate_m"),
            _positive("seconds"),
            _positive("speed_kmh"),
            Column(name="method", kind="choice", choices=tuple(METHODS), required=True),
            Column(name="timer"),
            Column(name="dial_percent", kind="number", low=0, high=100),
        ),
        rules=(
            RowRule(
                column="seconds",
                broken="(gate_m is null) <> (seconds is null)",
                reason="a gate needs both its length in gate_m and its time in seconds",
                remedy=_AGAIN,
            ),
            RowRule(
                column="speed_kmh",
                broken="(gate_m is null) = (speed_kmh is null)",
                reason="a measurement is either a gate (gate_m and seconds) or a speed that was read off (speed_kmh)",
                remedy="Fill in one of the two, and load the file again.",
            ),
        ),
        words={"gate": "gate_m", "distance": "gate_m", "distance_m": "gate_m"} | dict.fromkeys(_SPEEDS, "speed_kmh"),
    ),
    TableSpec(
        name="speed_limits",
        id="entry",
        key=("direction", "limit_kmh", "gate_m", "gate_s", "on"),
        needs=("direction", "limit_kmh", "on"),
        columns=(_DIRECTION, _positive("limit_kmh", required=True), _positive("gate_m"), _positive("gate_s"), _ON),
        rules=(
            RowRule(
                column="gate_s",
                broken="(gate_m is null) <> (gate_s is null)",
                reason="a gate needs both its length in gate_m and its time in gate_s",
                remedy=_AGAIN,
            ),
            RowRule(
                column="gate_s",
                broken="abs(gate_m / gate_s * 3.6 / limit_kmh - 1) > 0.02",
                reason="the gate does not say the same as the limit: they are more than 2% apart",
                remedy="Read both again in the rule that you play under, and load the file again.",
            ),
        ),
        words=dict.fromkeys((*_SPEEDS, "limit"), "limit_kmh"),
    ),
    TableSpec(
        name="match_profiles",
        id="entry",
        key=("athlete", "chair", "profile", "on"),
        # No such column: too many sheets hold an athlete, a profile and a day, so this table goes by its name alone.
        needs=("match_profile",),
        columns=(_ATHLETE, _CHAIR, _PROFILE, _ON),
    ),
)  # fmt: skip
"""Read after athletes, to whom their rows refer."""
