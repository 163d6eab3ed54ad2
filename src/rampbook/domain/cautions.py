"""The lines that stand wherever a setting is shown or a change is proposed (common practice, no source)."""

from __future__ import annotations

from rampbook.domain.speed import POWERCHAIR_FOOTBALL

ALWAYS = (
    "The maker's instructions and the licensed practice of those who may change settings come first.",
    "One change at a time, and write down the old value before you touch it.",
    "Try it in a clear space, with a spotter beside the chair and a stop agreed beforehand.",
    f"The sport's published limit is {POWERCHAIR_FOOTBALL.kmh:g} km/h forward and backward; "
    "local rules may be lower. It is a limit, not a goal.",
)
LONGER_STOP = (
    "A lower deceleration lengthens the stopping distance: measure it in a clear space before anything else."
)
RECHECK_SPEED = "Measure the speed again before the next match, forward and backward."
FELT_GAIN = (
    "Throw and deadband also change how quick the chair feels near the centre, not only where it answers."
)
RAISED = (
    "This raises how fast or how sharply the chair moves: never for its own sake, only as far as the sport's limit, "
    "local rules and the athlete's control allow; the first try in a clear space, a small step, a hand on the stop."
)
_RAISING = ("forward_speed", "reverse_speed", "turn_speed", "acceleration", "turn_acceleration")


def raises(setting: str, *, old: float | None, new: float | None) -> bool:
    """Whether a change may raise speed, acceleration or turning; one whose old value is not known may."""
    return setting.startswith(_RAISING) and (old is None or new is None or new > old)


def cautions(setting: str | None = None, *, old: float | None = None, new: float | None = None) -> list[str]:
    """Return the caution lines for showing the sheet, or for changing one setting from ``old`` to ``new``.

    A deceleration whose old value is not known is treated as one that is lowered.
    """
    lines = list(ALWAYS)
    if setting is None:
        return lines
    if new is not None and raises(setting, old=old, new=new):
        lines.append(RAISED)
    if setting.startswith(("deceleration", "turn_deceleration")) and (
        old is None or new is None or new < old
    ):
        lines.append(LONGER_STOP)
    if setting.startswith(("forward_speed", "reverse_speed")):
        lines.append(RECHECK_SPEED)
    if setting.startswith("throw_") or setting == "deadband":
        lines.append(FELT_GAIN)
    return lines
