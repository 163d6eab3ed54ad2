"""Time and touches of one drill belong together: whether touches an attempt moved with the change."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from rampbook.domain.window import Window
from rampbook.evidence.assess import Options, fit
from rampbook.series.read import read_series

# Harm is said on weak evidence, so touches are judged by an 80% interval.
CONFIDENCE = 0.8


def touches_ratio(entries: Sequence[dict[str, Any]], window: Window) -> tuple[float, float, float] | None:
    """Give touches per attempt, new over old, with its 80% interval; None where they were not counted on both sides.

    The estimator is the same as for any count, with attempts as the exposure.
    """
    import polars as pl

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
    if not any(row["value"] for row in rows):
        return None
    found = fit(read_series(pl.DataFrame(rows), kind="count"), Options(confidence=CONFIDENCE)).estimate
    return None if found is None else (math.exp(found.effect), math.exp(found.low), math.exp(found.high))
