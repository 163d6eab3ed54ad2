"""What an estimator says of the series of a cell, and whether it keeps the bars."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyses.calibration.simulate import Simulated

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

ALPHA = 0.05
LEAST_FALSE, MOST_FALSE = 0.02, 0.065
LEAST_COVERAGE, MOST_COVERAGE = 0.935, 0.985
MOST_BIAS = 0.05
LEAST_POWER_RATIO = 0.80
FEWEST_ANSWERED = 100
"""With fewer answers than this a cell says nothing about those answers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What an estimator says of S series, on the link scale.

    Attributes
    ----------
    effect, low, high : (S,) float
        Estimate and interval; NaN where refused.
    called : (S,) bool
        Whether the test at 5% calls it an effect.
    refused : (S,) bool
        Whether no interval was given.
    """

    effect: Floats
    low: Floats
    high: Floats
    called: Flags
    refused: Flags

    def moved(self, by: float) -> Answers:
        """Give the answers to the same series with an effect added to the response.

        On an identity link the whole fit moves with it: estimate and interval by the same amount.
        """
        low, high = self.low + by, self.high + by
        return Answers(effect=self.effect + by, low=low, high=high, called=(low > 0) | (high < 0), refused=self.refused)


Estimator = Callable[[Simulated, float], Answers]
"""From series and a confidence to answers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What was measured in one cell.

    Attributes
    ----------
    reps : int
        Series.
    false_positives : float
        Share of do-nothing series called an effect; a refused series is not called one.
    coverage_null, coverage_effect : float
        Share of intervals that hold no effect, and the true effect; a refused series counts as held.
    median_bias, bias_error : float
        Median of the estimates over the true effect, less 1 (below 0: pulled toward no effect), and the Monte
        Carlo standard error of that.
    power : float
        Share of the series with the effect that are called one, in the right direction or not; of the answered.
    refused_null, refused_effect : float
        Share without an interval.
    """

    reps: int
    false_positives: float
    coverage_null: float
    coverage_effect: float
    median_bias: float
    bias_error: float
    power: float
    refused_null: float
    refused_effect: float

    @property
    def answered_null(self) -> float:
        """Number of do-nothing series that were answered."""
        return self.reps * (1 - self.refused_null)

    @property
    def answered_effect(self) -> float:
        """Number of series with the effect that were answered."""
        return self.reps * (1 - self.refused_effect)


def measure(nothing: Answers, something: Answers, true_effect: float) -> Measured:
    """Sum up the answers to do-nothing series, and to series with the effect."""
    errors = something.effect[~something.refused] / true_effect - 1.0
    return Measured(
        reps=nothing.refused.size,
        false_positives=float(np.mean(nothing.called & ~nothing.refused)),
        coverage_null=_held(nothing, 0.0),
        coverage_effect=_held(something, true_effect),
        median_bias=float(np.median(errors)) if errors.size else np.nan,
        bias_error=median_error(errors),
        power=float(np.mean(something.called[~something.refused])) if errors.size else np.nan,
        refused_null=float(np.mean(nothing.refused)),
        refused_effect=float(np.mean(something.refused)),
    )


def _held(answers: Answers, truth: float) -> float:
    return float(np.mean(((answers.low <= truth) & (truth <= answers.high)) | answers.refused))


def median_error(values: Floats) -> float:
    """Give the Monte Carlo standard error of a median: half the distance of the ranks one error away."""
    m = values.size
    if m < FEWEST_ANSWERED:
        return float("nan")
    reach = np.sqrt(m) / 2
    low, high = np.sort(values)[[int(m / 2 - reach), int(m / 2 + reach)]]
    return float(high - low) / 2


def misses(measured: Measured, oracle: float | None = None, *, errors: float = 0.0) -> tuple[str, ...]:
    """Name the bars that a cell breaks by more than a number of Monte Carlo standard errors.

    Refusing an interval with its reason is allowed and counts as kept: the upper bar on false positives and the
    lower one on coverage take all series, the refused among them kept; the bars against saying too little
    (false positives below 2%, coverage above 98.5%, bias, power) take the answered ones.
    """
    found = []
    m = measured
    if m.false_positives > MOST_FALSE + errors * share_error(MOST_FALSE, m.reps):
        found.append("false positives too many")
    if m.answered_null >= FEWEST_ANSWERED:
        share = m.false_positives / (1 - m.refused_null)
        if share < LEAST_FALSE - errors * share_error(LEAST_FALSE, m.answered_null):
            found.append("false positives too few")
    if m.coverage_effect < LEAST_COVERAGE - errors * share_error(LEAST_COVERAGE, m.reps):
        found.append("coverage too low")
    if m.answered_effect >= FEWEST_ANSWERED:
        found += _misses_of_answered(m, oracle, errors)
    return tuple(found)


def _misses_of_answered(m: Measured, oracle: float | None, errors: float) -> list[str]:
    found = []
    held = (m.coverage_effect - m.refused_effect) / (1 - m.refused_effect)
    if held > MOST_COVERAGE + errors * share_error(MOST_COVERAGE, m.answered_effect):
        found.append("coverage too high")
    if abs(m.median_bias) > MOST_BIAS + errors * m.bias_error:
        found.append("bias")
    if oracle is not None:
        error = share_error(LEAST_POWER_RATIO * oracle, m.answered_effect)
        if m.power < LEAST_POWER_RATIO * oracle - errors * error:
            found.append("power")
    return found


def share_error(share: float, n: float) -> float:
    """Give the Monte Carlo standard error of a share of n."""
    return float(np.sqrt(share * (1 - share) / n))
