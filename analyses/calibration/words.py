"""How methods, orders of settings and outcomes are called in the summary and the charts."""

from __future__ import annotations

from analyses.calibration.cells import Cell

OURS = "Rampbook"
METHOD_WORDS = {
    "t_attempts": "t-test, all attempts",
    "t_means": "t-test, practice means",
    "ols": "least squares with trend",
    "newey_west": "Newey-West, 2 lags",
    "glsar": "GLSAR(1)",
    "plug_in_reml": "REML AR(1), plugged in",
    "poisson": "Poisson",
    "negative_binomial": "negative binomial",
    "binomial": "logistic",
}
DESIGN_WORDS = {
    "once-10": "one change, 5 + 5",
    "once-16": "one change, 8 + 8",
    "once-30": "one change, 15 + 15",
    "back-16": "there and back twice, 16",
    "back-30": "there and back twice, 30",
    "alternating-16": "alternating, 16",
    "alternating-30": "alternating, 30",
    "drawn-20": "start drawn by lot, 20",
}
VARIANT_WORDS = {
    "time": "times",
    "rating": "ratings 0 to 10",
    "success": "successes of 3 to 10 tries",
    "count-1-0": "counts, mean 1",
    "count-1-0.3": "counts, mean 1, dispersion 0.3",
    "count-2-0": "counts, mean 2",
    "count-2-0.3": "counts, mean 2, dispersion 0.3",
    "count-8-0": "counts, mean 8",
    "count-8-0.3": "counts, mean 8, dispersion 0.3",
}
KIND_WORDS = {"time": "times", "count": "counts", "rating": "ratings", "success": "successes"}


def company(cell: Cell) -> str:
    """Say whether an untouched series was measured."""
    return "with an untouched series" if cell.compared else "alone"
