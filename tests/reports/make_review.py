"""A season review for tests: two athletes, findings of every verdict, hostile notes, rows set aside."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from rampbook.domain.cautions import cautions
from rampbook.evidence.finding import ChangeMark, Drawing, Finding, PracticePoint, Warned
from rampbook.reports.season import (
    CollisionRow,
    CompletenessRow,
    Picture,
    ReviewedChange,
    ReviewedOutcome,
    SeasonReview,
    SetAsideRow,
)
from rampbook.units import KINDS

HOSTILE = '<script>alert("x")</script> & "quotes"'
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10"><title>drawn</title></svg>'


def make_finding(kind: str = "time", **changed: Any) -> Finding:
    """Return a finding of twelve practices, seven before; any field may be given otherwise."""
    fields: dict[str, Any] = {
        "kind": KINDS[kind], "better": KINDS[kind].better, "estimate": 0.9, "low": 0.85, "high": 0.96,
        "confidence": 0.95, "p": 0.01, "n": {"practices": 12, "before": 7, "after": 5, "attempts": 60},
        "method": {"name": "marginalised", "trend": True}, "verdict": "better", "worthwhile": 0.97,
        "practices_to_settle": None, "rung": "before-after",
        "allowed_sentence": f"After the change: 10% less ({kind}); other causes are not ruled out.",
        "not_shown": ("That the change caused it.",),
        "warnings": (Warned(code="w", message=f"Mind {HOSTILE}."),),
        "sensitivity": (), "effect_sizes": {}, "robustness": {}, "drawing": make_drawing(), "change": "C1",
        "outcome": "drill:gate",
    }  # fmt: skip
    return Finding(**(fields | changed))


def make_drawing() -> Drawing:
    """Return what is drawn of it."""
    points = tuple(
        PracticePoint(
            position=i, label=f"P{i}", on=date(2026, 1, 1 + 2 * i), phase=int(i >= 7), value=12.0 - i / 10,
            size=5.0, attempts=(11.9, 12.1), unfinished=(False, False), fitted=12.0,
            without=12.0 if i >= 7 else None,
            without_low=11.5 if i >= 7 else None, without_high=12.5 if i >= 7 else None, control=None,
        )
        for i in range(12)
    )  # fmt: skip
    return Drawing(
        title="Gate", outcome_label="gate", axis="seconds", old_label="60", new_label="70", points=points,
        changes=(ChangeMark(position=7, on=date(2026, 1, 14), text="acceleration 60 to 70"),), events=(),
    )  # fmt: skip


def make_change(change: str, *outcomes: ReviewedOutcome, **changed: Any) -> ReviewedChange:
    """Return a change of one setting; any field may be given otherwise."""
    fields: dict[str, Any] = {
        "change": change, "athlete": "K03", "chair": "W03", "profile": 2, "setting": "turn_speed_max",
        "old_value": 45.0, "new_value": 60.0, "on": date(2025, 11, 26), "role": "coach",
        "reason": "turns felt slow", "planned": 1, "goes_back_to": None,
    }  # fmt: skip
    return ReviewedChange(**(fields | changed), outcomes=outcomes)


def make_outcome(change: str, **fields: Any) -> ReviewedOutcome:
    """Return a finding of a change with a small picture."""
    finding = make_finding(change=change, **fields)
    return ReviewedOutcome(finding=finding, picture=Picture(svg=SVG, alt=f"What {change} did. {HOSTILE}"))


def make_review(**changed: Any) -> SeasonReview:
    """Return a whole review; any field may be given otherwise."""
    changes = (
        make_change("C1", make_outcome("C1")),
        make_change(
            "C2",
            make_outcome("C2", verdict="cannot tell yet", practices_to_settle=9),
            reason=HOSTILE,
            athlete="K04",
        ),
        make_change("C3", make_outcome("C3", kind="count", outcome="collisions", verdict="worse")),
        make_change("C4", goes_back_to="C3", old_value=60.0, new_value=45.0, reason="collisions", planned=0),
        make_change("C5", make_outcome("C5", estimate=None, low=None, high=None, p=None, rung="noted")),
        make_change("C6", setting="deadband"),
    )
    fields: dict[str, Any] = {
        "athlete": None, "season": "2025-26", "from_on": date(2025, 8, 1), "to_on": date(2026, 7, 31),
        "first_on": date(2025, 9, 2), "last_on": date(2026, 5, 28),
        "made_at": datetime(2026, 6, 1, 12, tzinfo=UTC), "version": "0.1.0", "changes": changes,
        "forest": Picture(svg=SVG, alt="All changes side by side."),
        "collisions": (CollisionRow(athlete="K03", practices=36, count=120, minutes=1080.0),),
        "completeness": (
            CompletenessRow(
                athlete="K03", practices=38, with_outcome=37, with_attempts=37, with_collisions=36,
                with_ratings=30, with_battery=35,
            ),
        ),
        "set_aside": (
            SetAsideRow(file="attempts.csv", row=14, column="seconds", value="<b>-3.2</b>",
                        reason="not above 0", remedy="Correct the cell and load again."),
        ),
        "row_counts": (("practices", 38), ("attempts", 760)),
        "cautions": tuple(cautions("turn_speed_max")),
    }  # fmt: skip
    return SeasonReview(**(fields | changed))


def empty_review() -> SeasonReview:
    """Return the review of a season in which nothing was written down."""
    nothing: dict[str, Any] = dict.fromkeys(("changes", "collisions", "completeness", "set_aside", "row_counts"), ())
    return make_review(**nothing, forest=None, first_on=None, last_on=None)
