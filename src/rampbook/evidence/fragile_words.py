"""How fragile a result is, in short sentences: the same ones on the screen, on the page and in the review."""

from __future__ import annotations

import math
from typing import Any

from rampbook.evidence.finding import Finding
from rampbook.evidence.fragility import from_to, spoken
from rampbook.evidence.sentences import amount, span
from rampbook.evidence.verdicts import CANNOT_TELL
from rampbook.units import KINDS, Kind

_SMALLEST = 1e-9


def fragile_words(finding: Finding) -> tuple[str, ...]:
    """Say what each test of a result gave, one sentence or two each; empty where nothing was estimated."""
    if finding.estimate is None:
        return ()
    held = finding.robustness
    out = [
        _without_one(finding.kind, held.get("leave_one_out"), held.get("hangs_on") or [], finding.verdict),
        _false_dates(held.get("placebo_share"), held.get("placebo_dates")),
        _unseen(held.get("e_value"), held.get("e_value_limit")),
        _missing(finding.kind, held),
        _negative(held.get("negative_control")),
        _alone(finding.kind, held.get("without_untouched")),
    ]
    return tuple(sentence for sentence in out if sentence)


def _link(kind: Kind, value: float) -> float:
    return math.log(max(value, _SMALLEST)) if kind.scale == "ratio" else value


def _reach(kind: Kind, ends: list[float]) -> str:
    """Say how far an effect reaches: "is 8% faster still", or "may be anything from 3% faster to 8% faster"."""
    low, high = (_link(kind, end) for end in ends)
    if amount(kind, low) == amount(kind, high):
        return f"is {amount(kind, low)} still"
    return f"may be anything {from_to(kind, (low, high))}"


def _without_one(kind: Kind, ends: list[float] | None, names: list[str], verdict: str) -> str:
    if ends is None:
        return "There are too few practices to leave one out and look again."
    said = f"With any one practice left out the effect {_reach(kind, ends)}"
    if not names:
        return f"{said}." if verdict == CANNOT_TELL else f"{said}; the answer does not hang on one."
    which = names[0] if len(names) == 1 else f"each of {len(names)} practices, {names[0]} the most"
    return f"{said}; the answer hangs on {which}."


def _false_dates(share: float | None, dates: int | None) -> str:
    if share is None or not dates:
        return "There are too few practices before the change to try false dates."
    return f"Of {dates} false dates before the change, {round(share * dates) or 'none'} gave as large an effect."


def _unseen(point: float | None, limit: float | None) -> str:
    """Say the E-value; points have none."""
    if point is None:
        return ""
    if limit is None or limit <= 1:
        return "Nothing hidden is needed to explain the effect away: its interval includes no effect."
    return (
        f"To explain the effect away, something nobody logged would have to be {point:.2f} times as common with the "
        f"new setting and change the outcome {point:.2f} times (E-value); {limit:.2f} is enough for its interval."
    )


def _alone(kind: Kind, part: dict[str, float] | None) -> str:
    """Say what the series alone would give, where an untouched one was subtracted."""
    if part is None:
        return ""
    low, high = (_link(kind, part[end]) for end in ("low", "high"))
    return f"Without the untouched series the effect would be {span(kind, low, high)}."


def _missing(kind: Kind, held: dict[str, Any]) -> str:
    bounds, practices = held.get("missing_bounds"), held.get("missing_practices")
    attempts = held.get("unfinished_attempts")
    if bounds is None:
        return "" if practices or attempts else "No practice is without a value, and no attempt was stopped."
    what = [f"{practices} practice{'' if practices == 1 else 's'} without a value"] if practices else []
    what += [f"{attempts} unfinished attempt{'' if attempts == 1 else 's'}"] if attempts else []
    return (
        f"With {' and '.join(what)} put as good or as bad as the best and the worst that were measured, the effect "
        f"{_reach(kind, bounds)}."
    )


def _negative(found: dict[str, Any] | None) -> str:
    if found is None:
        return "No outcome that the change cannot affect was looked at."
    kind, what = KINDS[found["kind"]], spoken(found["outcome"])
    if found["estimate"] is None:
        return f"Whether {what}, which the change cannot affect, stayed as it was cannot be told."
    effect, low, high = (_link(kind, found[end]) for end in ("estimate", "low", "high"))
    did = "moved" if low * high > 0 else "did not clearly move"
    return (
        f"{what[0].upper()}{what[1:]}, which the change cannot affect, {did}: {amount(kind, effect)} "
        f"({from_to(kind, (low, high))})."
    )
