"""The words around the numbers of a picture; how an effect itself is said is evidence's business."""

from __future__ import annotations

import math

from rampbook.charts.ticks import number
from rampbook.evidence.finding import Finding
from rampbook.evidence.sentences import amount, span
from rampbook.units import Kind

RUNGS = ("noted", "before-after", "compared", "repeated", "randomised")
# On the log scale, so that a ratio of 0 (or one without limit) can be said and placed at all.
_FARTHEST = 20.0


def on_link(kind: Kind, value: float) -> float:
    """Put an effect on the scale it is drawn on: the log of a ratio, or points as they are."""
    if kind.scale == "points":
        return value
    return max(min(math.log(value) if value > 0 else -_FARTHEST, _FARTHEST), -_FARTHEST)


def effect_words(finding: Finding) -> str:
    """Say the estimate in words, or that there is none."""
    if finding.estimate is None:
        return "No estimate"
    return amount(finding.kind, on_link(finding.kind, finding.estimate))


def interval_words(finding: Finding) -> str:
    """Say the interval in words, or why there is none."""
    if finding.estimate is None:
        return too_few_words(finding)
    if finding.low is None or finding.high is None:
        return "no interval can be given"
    low, high = on_link(finding.kind, finding.low), on_link(finding.kind, finding.high)
    return f"{percent(finding.confidence)} interval: {span(finding.kind, low, high)}"


def too_few_words(finding: Finding) -> str:
    """Say how many practices there are on both sides, for a picture without an estimate."""
    before, after = finding.n.get("before", 0), finding.n.get("after", 0)
    return f"{_practices(before)} with the old setting, {_practices(after)} with the new one."


def counted_words(finding: Finding) -> str:
    """Say what the result rests on."""
    said = too_few_words(finding).rstrip(".")
    attempts = finding.n.get("attempts", 0)
    if attempts > finding.n.get("practices", 0):
        said += f"; {attempts} attempts"
    name = finding.method.get("name")
    return f"{said}. Method: {name}." if name else f"{said}."


def verdict_words(finding: Finding) -> str:
    """Say the verdict, and how many more practices would settle it where that is known."""
    if not finding.practices_to_settle:
        return finding.verdict
    return f"{finding.verdict}; about {_practices(finding.practices_to_settle)} more would settle it"


def zone_words(finding: Finding) -> str:
    """Say how large a change must be to matter."""
    if finding.worthwhile is None:
        return "No smallest change that matters is known"
    step = abs(on_link(finding.kind, finding.worthwhile))
    return f"Smallest change that matters: {amount(finding.kind, step if finding.better == 'higher' else -step)}"


def percent(share: float) -> str:
    """Write a share as a percentage."""
    return f"{number(round(100 * share, 1))}%"


def without_words(old_label: str) -> str:
    """Say what the dashed line is: "had acceleration stayed at 80", or "had the old setting stayed"."""
    words, _, value = old_label.rpartition(" ")
    if value[:1].isdigit():
        return f"had {words or 'it'} stayed at {value}"
    return f"had the {old_label} stayed" if old_label.startswith("old ") else f"expected with: {old_label}"


def untouched_words(control_label: str | None) -> str:
    """Say which series was left alone."""
    label = control_label or "comparison series"
    return label if "untouched" in label else f"untouched: {label}"


def rung_words(rung: str) -> str:
    """Say a rung with its place among the five."""
    return f"{rung} (step {RUNGS.index(rung) + 1} of {len(RUNGS)})" if rung in RUNGS else rung


def direction_words(kind: Kind) -> tuple[str, str]:
    """Give the words for less and more; an odds ratio speaks of odds, whose size is not that of a share."""
    if kind.name == "success":
        return "odds lower", "odds higher"
    return (kind.less_word, kind.more_word) if kind.scale == "ratio" else ("lower", "higher")


def _practices(count: int) -> str:
    return f"{count or 'no'} practice{'' if count == 1 else 's'}"
