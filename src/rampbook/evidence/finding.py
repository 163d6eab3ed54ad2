"""What was found about one change: the numbers, how far they may be believed, and what is drawn of them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from rampbook.units import Better, Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class SensitivityRow:
    """The plain textbook fit of the same series, 95% interval; parts that cannot be had are None with a reason."""

    name: str
    estimate: float | None
    low: float | None
    high: float | None
    p: float | None
    algorithm: str = ""
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """One thing a reader must know before using the result; ``code`` is stable, ``message`` is for people."""

    code: str
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticePoint:
    """One practice as drawn, and what the model says of it, all on the natural scale of the outcome.

    ``position`` counts practices from 0: learning runs by practice, so the trend is straight along it (on the
    log or logit scale), whatever the calendar does. ``fitted`` is the model with the setting as it was;
    ``without`` is the model had the old setting stayed, with its interval; both None where there is no model.
    """

    position: int
    label: str
    on: date | None
    phase: int
    value: float
    size: float
    attempts: tuple[float, ...]
    unfinished: tuple[bool, ...]
    fitted: float | None
    without: float | None
    without_low: float | None
    without_high: float | None
    control: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeMark:
    """One crossing of the change: the practice before which it stands, and the values before and after."""

    position: float
    on: date | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EventMark:
    """Something else that was logged, where it happened; ``position`` may lie between two practices."""

    position: float
    on: date | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """All that the picture of one change needs besides the finding's own numbers."""

    title: str
    outcome_label: str
    axis: str
    old_label: str
    new_label: str
    points: tuple[PracticePoint, ...]
    changes: tuple[ChangeMark, ...]
    events: tuple[EventMark, ...]
    control_label: str | None = None
    has_trend: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """The result of one series, every field as the JSON of ``rampbook series`` names it.

    ``estimate``, ``low`` and ``high`` are a ratio (new over old; 1 means no effect) for times, counts and
    successes, and points (new minus old) for ratings. A part that cannot be had is None.
    """

    kind: Kind
    better: Better
    estimate: float | None
    low: float | None
    high: float | None
    confidence: float
    p: float | None
    n: dict[str, int]
    method: dict[str, Any]
    verdict: str
    worthwhile: float | None
    practices_to_settle: int | None
    rung: str
    allowed_sentence: str
    not_shown: tuple[str, ...]
    warnings: tuple[Warned, ...]
    sensitivity: tuple[SensitivityRow, ...]
    effect_sizes: dict[str, float | None]
    robustness: dict[str, Any]
    drawing: Drawing = field(repr=False)
    change: str | None = None
    outcome: str | None = None

    @property
    def estimand(self) -> str:
        """What the estimate is: ratio of times, rate ratio, odds ratio or points."""
        return self.kind.estimand
