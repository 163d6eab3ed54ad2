"""Rampbook's own estimate of simulated series."""

from __future__ import annotations

import numpy as np

from analyses.calibration.judge import Answers
from analyses.calibration.simulate import Simulated
from rampbook.estimators.batch import Batch, estimate_batch


def rampbook_answers(simulated: Simulated, confidence: float) -> Answers:
    """Estimate every series with a trend, at one confidence."""
    batch = Batch(
        kind_name=simulated.cell.kind,
        value=simulated.value,
        size=simulated.size,
        phase=simulated.phase,
        gaps=simulated.gaps,
        control_value=simulated.control_value,
        control_size=simulated.control_size,
    )
    found = estimate_batch(batch, confidence=confidence, trend=True)
    return Answers(
        effect=found.effect,
        low=found.low,
        high=found.high,
        called=~found.refused & (np.nan_to_num(found.p, nan=1.0) < 1.0 - confidence),
        refused=found.refused,
    )
