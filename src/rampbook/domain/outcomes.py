"""How outcomes are named, and who gives a rating."""

from __future__ import annotations

from typing import Literal

from rampbook.errors import EntryError

DRILL_PREFIX = "drill:"
RATING_GIVERS: dict[str, str] = {
    "self": "rated by the athlete",
    "told": "told by the athlete to another",
    "guess": "another person's guess",
}
LOWER_RATINGS = ("pain", "fatigue", "discomfort", "effort")
# Where a rating goes when it does harm; other ratings are not watched (common practice, no source).
HARM_RATINGS: dict[str, Literal["lower", "higher"]] = {
    "comfort": "lower",
    "control": "lower",
    "safety": "lower",
    "pain": "higher",
    "discomfort": "higher",
}
# More of these is no harm; every other count is watched for a rise.
HELPFUL_COUNTS = ("assists", "goals", "hits", "passes", "points", "saves", "shots")
# One is enough to act on (common practice, no source).
SERIOUS_COUNTS = (
    "fall", "falls", "injuries", "injury", "loss_of_control", "losses_of_control", "tip", "tips", "tip_over",
    "tip_overs", "unintended_motion", "unintended_motions", "unintended_movement", "unintended_movements",
)  # fmt: skip


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


def harm_direction(kind: str, outcome: str) -> Literal["lower", "higher"] | None:
    """Return where an outcome goes when it does harm, or None when it is not watched for harm.

    Examples
    --------
    >>> harm_direction("count", "collisions"), harm_direction("rating", "comfort"), harm_direction("count", "goals")
    ('higher', 'lower', None)
    """
    name = _plain(outcome)
    if kind == "count":
        return None if name in HELPFUL_COUNTS else "higher"
    return HARM_RATINGS.get(name) if kind == "rating" else None


def is_serious(outcome: str) -> bool:
    """Return whether one such event is enough to act on."""
    return _plain(outcome) in SERIOUS_COUNTS


def _plain(outcome: str) -> str:
    return outcome.strip().lower().replace(" ", "_").replace("-", "_")
