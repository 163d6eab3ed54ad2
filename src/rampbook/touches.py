"""Time and touches of one drill belong together: whether touches an attempt moved with the change."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rampbook.domain.window import Window

# Harm is said on weak evidence, so touches are judged by an 80% interval.
CONFIDENCE = 0.8


def touches_ratio(entries: Sequence[dict[str, Any]], window: Window) -> tuple[float, float, float] | None:
    """Give touches per attempt, new over old, with its 80% interval; None where they were not counted on both sides.

    The estimator is the same as for any count, with attempts as the exposure.
    """
    import polars as pl

    from rampbook.effect import estimate

    rows = [
        {
            "practice": entry["on"],
            "phase": window.phase(entry["on"], entry["time"]),
            "value": entry["touches"],
            "exposure": 1,
        }
        for entry in entries
        if entry["touches"] is not None
    ]
    if not any(row["value"] for row in rows) or len({row["phase"] for row in rows}) < 2:
        return None
    found = estimate(pl.DataFrame(rows), kind="count", confidence=CONFIDENCE, sensitivity=False)
    if found.estimate is None or found.low is None or found.high is None:
        return None
    return found.estimate, found.low, found.high
