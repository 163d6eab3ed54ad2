"""Judging what was said against what is true: computed from both, never written down beforehand."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from demo_data.stories import Truth
from rampbook.cli.judge import FALSE_ALARM, MISSED, RIGHT, RIGHTLY_SILENT, WRONG, judge
from rampbook.evidence.finding import Drawing, Finding
from rampbook.units import KINDS

NOTHING_DRAWN = Drawing(
    title="", outcome_label="", axis="", old_label="", new_label="", points=(), changes=(), events=()
)
FASTER = Truth(
    change="C", outcome="drill:gate", effect=0.88, scale="ratio", shift=0.88, ceiling="before-after",
    story="", may_say="",
)  # fmt: skip
NOTHING = replace(FASTER, effect=1.0, shift=1.0)
SLOWER = replace(FASTER, effect=1.2, shift=1.2)
TRADED = replace(FASTER, touches=2.0)
MIXED_UP = replace(FASTER, ceiling="noted")


def found(verdict: str, rung: str = "before-after", **changed: Any) -> Finding:
    fields: dict[str, Any] = {
        "kind": KINDS["time"], "better": "lower", "estimate": 0.9, "low": 0.8, "high": 0.95,
        "confidence": 0.95, "p": 0.01, "n": {}, "method": {}, "verdict": verdict, "worthwhile": 0.95,
        "practices_to_settle": None,
        "rung": rung, "allowed_sentence": "", "not_shown": (), "warnings": (), "sensitivity": (),
        "effect_sizes": {}, "robustness": {}, "drawing": NOTHING_DRAWN,
    }  # fmt: skip
    return Finding(**(fields | changed))


@pytest.mark.parametrize(
    ("truth", "finding", "wanted"),
    [
        (FASTER, found("better"), RIGHT),
        (FASTER, found("worse"), WRONG),
        (FASTER, found("cannot tell yet"), MISSED),
        (FASTER, found("better", rung="noted"), MISSED),
        (FASTER, found("no worthwhile difference"), WRONG),
        (FASTER, found("better", rung="repeated"), WRONG),
        (FASTER, found("traded accuracy for speed"), FALSE_ALARM),
        (NOTHING, found("better"), WRONG),
        (NOTHING, found("worse"), WRONG),
        (NOTHING, found("traded accuracy for speed"), WRONG),
        (NOTHING, found("cannot tell yet"), RIGHTLY_SILENT),
        (NOTHING, found("no worthwhile difference"), RIGHT),
        (SLOWER, found("worse"), RIGHT),
        (SLOWER, found("better"), WRONG),
        (TRADED, found("traded accuracy for speed"), RIGHT),
        (TRADED, found("better"), WRONG),
        (MIXED_UP, found("better", rung="noted"), RIGHTLY_SILENT),
        (MIXED_UP, found("better", rung="before-after"), WRONG),
        (replace(FASTER, effect=0.97, shift=0.97), found("no worthwhile difference"), RIGHT),
        (replace(FASTER, effect=0.97, shift=0.97), found("cannot tell yet"), RIGHTLY_SILENT),
        (
            replace(FASTER, effect=2.0, shift=2.0, scale="points"),
            found("better", kind=KINDS["rating"], better="higher", worthwhile=0.5),
            RIGHT,
        ),
    ],
)
def test_judgement_follows_from_truth_and_finding(truth: Truth, finding: Finding, wanted: str) -> None:
    assert judge(truth, finding).judgement == wanted


def test_interval_is_compared_with_the_truth_only_where_it_is_about_the_setting_alone() -> None:
    assert judge(FASTER, found("better")).holds is True
    assert judge(FASTER, found("better", high=0.85)).holds is False
    assert judge(replace(FASTER, shift=0.8), found("better")).holds is None
    assert judge(FASTER, found("cannot tell yet", low=None, high=None)).holds is None
