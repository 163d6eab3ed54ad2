"""A reduced calibration study: some cells of every kind and design keep the bars, and broken estimators do not.

The whole study is `python -m analyses.calibration_study`; its table lies beside it. Here a bar fails a cell when it
is broken by more than two Monte Carlo standard errors. The seed is fixed, so a cell passes or fails always.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analyses.calibration.cells import cell_named
from analyses.calibration.judge import ALPHA, Answers, Estimator, measure, misses
from analyses.calibration.oracle import oracle_power
from analyses.calibration.ours import rampbook_answers
from analyses.calibration.simulate import Simulated
from analyses.calibration.study import BEYOND, answers_of, measure_cell
from analyses.calibration.truth import stated_effect, true_effect
from analyses.calibration.usual import plug_in_answers
from rampbook.estimators import judge

pytestmark = pytest.mark.slow

SEED = 20261125
REPS = {"time": 1500, "count": 800, "rating": 800, "success": 800}
CELLS = [
    "time once-10 alone rho0.3 learning regular",
    "time once-16 compared rho0.6 learning break",
    "time back-16 alone rho0 steady regular",
    "time back-30 compared rho0.6 learning break",
    "time alternating-16 alone rho0.6 learning break",
    "time drawn-20 alone rho0.3 learning break",
    "count-8-0.3 once-16 alone rho0.3 learning regular",
    "count-2-0 alternating-16 alone rho0 steady regular",
    "count-8-0.3 back-30 compared rho0.6 learning break",
    "count-8-0.3 alternating-30 alone rho0.3 steady regular",
    "count-1-0.3 back-30 alone rho0.6 learning break",
    "rating once-16 alone rho0.6 steady regular",
    "rating alternating-30 compared rho0.3 steady break",
    "success back-16 alone rho0.3 learning regular",
    "success drawn-20 compared rho0 steady regular",
]
POWER_CELLS = {
    "time back-30 compared rho0.6 learning break",
    "time alternating-16 alone rho0.6 learning break",
    "count-8-0.3 alternating-30 alone rho0.3 steady regular",
    "rating alternating-30 compared rho0.3 steady break",
}
"""Cells that are known to reach 80% of the oracle's power. Many others do not: every miss is published, by outcome,
order of settings and company, in analyses/calibration/summary.md, and by cell in table.csv beside it."""
UNSTRETCHED_CELLS = (
    "time once-30 alone rho0.6 learning regular",
    "time once-30 alone rho0.6 steady break",
    "rating once-30 alone rho0.6 steady regular",
)
"""One change and practices that run together: here a fit of few practices takes them for less alike than they are."""
EASY = "time alternating-16 alone rho0.3 steady regular"
"""The effect is found here nearly always, so that a small bias shows."""
HARD = "time once-16 alone rho0.6 learning regular"


@pytest.mark.parametrize("name", CELLS)
def test_the_bars_hold(name: str) -> None:
    cell = cell_named(name)
    nothing, of_nothing, of_something = answers_of(cell, REPS[cell.kind], SEED, rampbook_answers)
    measured = measure(of_nothing, of_something, true_effect(cell))
    oracle = oracle_power(nothing, stated_effect(cell), ALPHA).z if name in POWER_CELLS else None
    assert misses(measured, oracle, errors=BEYOND) == (), measured


def around(answers: Answers, *, width: float = 1.0, pull: float = 0.0) -> Answers:
    """The same answers with intervals of another width, and everything pulled toward no effect."""
    keep = 1.0 - pull
    low = keep * answers.effect - width * (answers.effect - answers.low)
    high = keep * answers.effect + width * (answers.high - answers.effect)
    return replace(answers, effect=keep * answers.effect, low=low, high=high, called=(low > 0) | (high < 0))


def shrunk_by_a_third(simulated: Simulated, confidence: float) -> Answers:
    return around(rampbook_answers(simulated, confidence), width=2 / 3)


def twice_as_wide(simulated: Simulated, confidence: float) -> Answers:
    return around(rampbook_answers(simulated, confidence), width=2.0)


@pytest.mark.parametrize(
    ("estimator", "name", "expected"),
    [
        (shrunk_by_a_third, EASY, {"false positives too many", "coverage too low"}),
        (shrunk_by_a_third, HARD, {"false positives too many", "coverage too low"}),
        (plug_in_answers, HARD, {"false positives too many", "coverage too low"}),
        (twice_as_wide, EASY, {"false positives too few", "coverage too high"}),
    ],
)
def test_a_broken_estimator_is_reported(estimator: Estimator, name: str, expected: set[str]) -> None:
    cell = cell_named(name)
    measured = measure_cell(cell, REPS[cell.kind], SEED, estimator)
    assert expected <= set(misses(measured, errors=BEYOND)), measured


def test_without_its_stretch_the_estimator_is_reported(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken() -> set[str]:
        found = (measure_cell(cell_named(name), 1500, SEED, rampbook_answers) for name in UNSTRETCHED_CELLS)
        return {name for measured in found for name in misses(measured, errors=BEYOND)}

    assert broken() == set()
    monkeypatch.setattr(judge, "stretch", lambda fit, grid, n: np.ones(fit.weight.shape[0]))
    assert broken() >= {"false positives too many", "coverage too low"}


def test_an_estimate_that_is_pulled_toward_no_effect_is_reported() -> None:
    cell = cell_named(EASY)
    _, of_nothing, of_something = answers_of(cell, REPS[cell.kind], SEED, rampbook_answers)
    right = measure(of_nothing, of_something, true_effect(cell))
    pulled = measure(of_nothing, around(of_something, pull=0.2), true_effect(cell))
    assert "bias" not in misses(right, errors=BEYOND)
    assert "bias" in misses(pulled, errors=BEYOND)


def test_adding_an_effect_to_times_moves_estimate_and_interval_with_it() -> None:
    """So one set of series serves both truths in the study."""
    cell = cell_named("time once-16 compared rho0.3 learning break")
    nothing, of_nothing, moved = answers_of(cell, 20, SEED, rampbook_answers)
    effect = true_effect(cell)
    fitted = rampbook_answers(replace(nothing, value=nothing.value + effect * nothing.phase), 1 - ALPHA)
    np.testing.assert_allclose(moved.effect, fitted.effect, rtol=1e-6, atol=1e-8)
    np.testing.assert_allclose(moved.low, fitted.low, rtol=1e-6, atol=1e-8)
    np.testing.assert_array_equal(moved.called, fitted.called)
    assert not np.allclose(of_nothing.effect, moved.effect)
