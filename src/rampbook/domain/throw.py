"""What a throw number means: the usual definition, the other one, and the way from each to the other."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rampbook.errors import EntryError


@dataclass(frozen=True, slots=True, kw_only=True)
class ThrowDefinition:
    """One way to read a throw number.

    Attributes
    ----------
    id : str
        How it stands in ``chairs.throw_definition``.
    words : str
        What a number of it says.
    """

    id: str
    words: str


USUAL = ThrowDefinition(
    id="full_at",
    words="how far the joystick must go before the command is full, in percent of its travel; "
    "a lower number answers more strongly",
)
OTHER = ThrowDefinition(
    id="at_full_travel",
    words="how much is commanded with the joystick at the end of its travel, in percent of the full command; "
    "a higher number answers more strongly",
)
THROW_DEFINITIONS = {definition.id: definition for definition in (USUAL, OTHER)}


def the_other(definition: ThrowDefinition) -> ThrowDefinition:
    """Return the definition that a number could also have been meant by."""
    return OTHER if definition is USUAL else USUAL


def throw_share(number_percent: float, *, definition: ThrowDefinition, deadband: float) -> float:
    """Return the share of travel at which the command is full; above 1 when that is beyond the joystick's travel.

    Parameters
    ----------
    number_percent : float
        The throw as it stands on the sheet.
    definition : ThrowDefinition
        What that number means.
    deadband : float
        The share of travel up to which the command is zero.

    Raises
    ------
    EntryError
        When the number is not above 0, or the deadband leaves no travel.

    Notes
    -----
    Both definitions name the same straight lines out of the deadband. A command of ``n`` at full travel rises by
    ``n / (1 - d)``, and so is full at ``T = d + (1 - d) / n``; the way back is `throw_number`.

    Examples
    --------
    >>> throw_share(60, definition=USUAL, deadband=0.1)
    0.6
    >>> throw_share(50, definition=OTHER, deadband=0.0)
    2.0
    """
    _refuse(number_percent, deadband)
    share = number_percent / 100
    return share if definition is USUAL else deadband + (1 - deadband) / share


def throw_number(throw: float, *, definition: ThrowDefinition, deadband: float) -> float:
    """Return the number, percent, that says the same throw by a definition; the way back from `throw_share`.

    A throw that ends before the travel does is above 100% by the other definition: the command would go on rising,
    and is held at full.

    Examples
    --------
    >>> throw_number(0.5, definition=OTHER, deadband=0.0)
    200.0
    """
    _refuse(100 * throw, deadband)
    if definition is USUAL:
        return 100 * throw
    if not throw > deadband:
        raise EntryError(
            f"A throw of {100 * throw:g}% cannot be said otherwise with a deadband of {100 * deadband:g}%: "
            "the throw must be above the deadband.",
            field="throw",
            value=throw,
        )
    return 100 * (1 - deadband) / (throw - deadband)


def _refuse(number_percent: float, deadband: float) -> None:
    if not (math.isfinite(number_percent) and number_percent > 0):
        raise EntryError(
            f"The throw is {number_percent:g}: it must be a number above 0. Read it from the chair again.",
            field="throw",
            value=number_percent,
        )
    if not 0 <= deadband < 1:
        raise EntryError(
            f"The deadband is {100 * deadband:g}%: it must be from 0 to below 100. Read it from the chair again.",
            field="deadband",
            value=deadband,
        )
