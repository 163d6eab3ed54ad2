"""How far the joystick is moved and how much is commanded: a plain model, not any chair's controller."""

from __future__ import annotations

import math

from rampbook.errors import EntryError


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
