"""How outcomes are named, and who gives a rating."""

from __future__ import annotations

from rampbook.errors import EntryError

DRILL_PREFIX = "drill:"
RATING_GIVERS: dict[str, str] = {
    "self": "rated by the athlete",
    "told": "told by the athlete to another",
    "guess": "another person's guess",
}


def drill_outcome(drill: str) -> str:
    """Return the name of the outcome that a drill's times are.

    Examples
    --------
    >>> drill_outcome("slalom")
    'drill:slalom'
    """
    return DRILL_PREFIX + outcome_name(drill.removeprefix(DRILL_PREFIX), field="drill")


def drill_of(outcome: str) -> str | None:
    """Return the drill that an outcome times, or None when it is not a drill."""
    return outcome.removeprefix(DRILL_PREFIX) if outcome.startswith(DRILL_PREFIX) else None


def outcome_name(name: str, *, field: str = "outcome") -> str:
    """Return the name without the space around it.

    Raises
    ------
    EntryError
        When nothing is left.
    """
    stripped = name.strip()
    if not stripped:
        raise EntryError(f"{field} is empty: give it a name.", field=field, value=name)
    return stripped
