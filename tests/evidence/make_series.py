"""Short series for the tests of evidence: the numbers are the test's own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import polars as pl

from rampbook.series.practices import PracticeSeries
from rampbook.series.read import read_series


def series_of(phases: Sequence[int], values: Sequence[float], kind: str = "time", **columns: Any) -> PracticeSeries:
    """One row a practice, in order."""
    table = {"practice": range(len(phases)), "phase": list(phases), "value": list(values)} | columns
    return read_series(pl.DataFrame(table), kind=kind)


def noisy_times(phases: Sequence[int], *, ratio: float, seed: int = 1, sd: float = 0.03) -> list[float]:
    """Drill times about 12 s with a true ratio between the settings."""
    noise = np.random.default_rng(seed).normal(0, sd, len(phases))
    return [float(12 * ratio**phase * np.exp(error)) for phase, error in zip(phases, noise, strict=True)]
