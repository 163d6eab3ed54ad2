"""Judges what was said of a change against what is known to be true of it; only the demo can do that."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from rampbook.evidence.finding import Finding
from rampbook.evidence.rungs import NOTED, RUNGS
from rampbook.evidence.verdicts import BETTER, CANNOT_TELL, NO_DIFFERENCE, TRADED, WORSE

RIGHT, RIGHTLY_SILENT, MISSED, FALSE_ALARM, WRONG = (
    "right", "rightly cannot tell", "missed", "false alarm", "WRONG",
)  # fmt: skip


class TrueEffect(Protocol):
    """What the invented club knows of one change and one outcome; see ``Truth`` in demo_data."""

    @property
    def change(self) -> str:
        """The id of the change."""
        ...

    @property
    def outcome(self) -> str:
        """The outcome."""
        ...

    @property
    def effect(self) -> float:
        """The true effect."""
        ...

    @property
    def scale(self) -> str:
        """Its scale."""
        ...

    @property
    def shift(self) -> float:
        """What else moved it."""
        ...

    @property
    def ceiling(self) -> str:
        """The highest rung it may reach."""
        ...

    @property
    def story(self) -> str:
        """What happened."""
        ...

    @property
    def may_say(self) -> str:
        """What may be said."""
        ...

    @property
    def touches(self) -> float:
        """The true ratio of touches."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One finding beside its truth; ``holds`` is None where the interval is not about the setting alone."""

    truth: TrueEffect
    finding: Finding
    judgement: str
    holds: bool | None


def judge(truth: TrueEffect, finding: Finding) -> Judged:
    """Return whether the tool's words are right, given the truth.

    ``WRONG`` is a claim that is not true, or one on a rung that the record cannot carry; ``missed`` is
    silence about a true effect that a clean record could have shown; silence about nothing, or about
    something that the record cannot tell apart, is right. ``false alarm`` is a warning of more touches where
    there are none: it is given on weak evidence on purpose, so it comes now and then.
    """
    return Judged(truth=truth, finding=finding, judgement=_judgement(truth, finding), holds=_holds(truth, finding))


def _judgement(truth: TrueEffect, finding: Finding) -> str:
    if RUNGS.index(finding.rung) > RUNGS.index(truth.ceiling):
        return WRONG
    if truth.ceiling == NOTED:
        return RIGHTLY_SILENT
    if finding.rung == NOTED or finding.verdict == CANNOT_TELL:
        return RIGHTLY_SILENT if _too_small(truth, finding) else MISSED
    if finding.verdict == NO_DIFFERENCE:
        return RIGHT if _too_small(truth, finding) else WRONG
    wanted = _true_verdict(truth, finding)
    if finding.verdict == TRADED and wanted == BETTER:
        return FALSE_ALARM
    return RIGHT if finding.verdict == wanted else WRONG


def _true_verdict(truth: TrueEffect, finding: Finding) -> str:
    gain = _link(truth.effect, truth.scale) * (1 if finding.better == "higher" else -1)
    if gain == 0:
        return NO_DIFFERENCE
    if gain < 0:
        return WORSE
    return TRADED if truth.touches > 1 else BETTER


def _too_small(truth: TrueEffect, finding: Finding) -> bool:
    """Whether the true effect is smaller than what the finding calls worthwhile."""
    effect = abs(_link(truth.effect, truth.scale))
    if finding.worthwhile is None:
        return effect == 0
    return effect < abs(_link(finding.worthwhile, truth.scale))


def _holds(truth: TrueEffect, finding: Finding) -> bool | None:
    if finding.low is None or finding.high is None or truth.shift != truth.effect:
        return None
    return finding.low <= truth.effect <= finding.high


def _link(value: float, scale: str) -> float:
    return math.log(value) if scale == "ratio" else value
