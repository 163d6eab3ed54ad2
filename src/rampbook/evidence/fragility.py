"""How easily a result falls: one practice, a false date, a cause nobody logged, missing values, something beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from rampbook.domain.outcomes import drill_of
from rampbook.errors import DesignError
from rampbook.estimators.e_value import e_value
from rampbook.estimators.marginal import Estimate, estimate_effect
from rampbook.estimators.missing import missing_bounds
from rampbook.estimators.model import TREND, Model, build_model
from rampbook.estimators.robustness import WithoutOne, placebo_effects, without_one
from rampbook.evidence.finding import Warned
from rampbook.evidence.rungs import BEFORE_AFTER, NOTED
from rampbook.evidence.sentences import amount, span
from rampbook.evidence.verdicts import BETTER, CANNOT_TELL, NO_DIFFERENCE, verdict
from rampbook.series.practices import PracticeSeries
from rampbook.units import Better, Kind

Part = tuple[dict[str, Any], list[Warned]]

# All of these are our own rules, not from a source. Neighbouring false dates say nearly the same, so one alone is luck.
FALSE_DATES_SHARE: Final = 0.25
FALSE_DATES: Final = 2
SMALL_E_VALUE: Final = 1.25
NOISY_COMPARISON: Final = 1.1
_NAMED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Judging:
    """By what a result was judged.

    Attributes
    ----------
    distance : float or None
        Smallest worthwhile change on the link scale.
    better : str
        Which direction is better.
    verdict, rung : str
        What the result was given in the end.
    """

    distance: float | None
    better: Better
    verdict: str
    rung: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NegativeControl:
    """What the estimator finds for an outcome that the change cannot affect, on the link scale.

    ``effect``, ``low``, ``high`` and ``p`` are None where it could not be estimated, for the ``reason`` given.
    """

    kind: Kind
    outcome: str
    effect: float | None = None
    low: float | None = None
    high: float | None = None
    p: float | None = None
    reason: str | None = None

    @property
    def moved(self) -> bool:
        """Whether its interval leaves out no effect."""
        return self.low is not None and self.high is not None and self.low * self.high > 0


def negative_control(
    series: PracticeSeries, estimate: Estimate | None, outcome: str, reason: str | None = None
) -> NegativeControl:
    """Give what was found of the unaffected outcome, or the reason why nothing was."""
    if estimate is None:
        return NegativeControl(kind=series.kind, outcome=outcome, reason=reason)
    return NegativeControl(
        kind=series.kind, outcome=outcome, effect=estimate.effect, low=estimate.low, high=estimate.high, p=estimate.p
    )


def spoken(outcome: str) -> str:
    """Say the name of an outcome that the change cannot affect."""
    if outcome == "unaffected":
        return "the unaffected outcome"
    drill = drill_of(outcome)
    return f"the drill {drill}" if drill else outcome.replace("_", " ")


def robustness(
    series: PracticeSeries,
    model: Model | None,
    estimate: Estimate | None,
    judging: Judging,
    negative: NegativeControl | None,
) -> tuple[dict[str, Any], tuple[Warned, ...]]:
    """Give the robustness part of a result, and what it warns of.

    Parameters
    ----------
    series : PracticeSeries
        As it was fitted.
    model, estimate
        What was fitted; None where nothing could be.
    judging : Judging
    negative : NegativeControl or None
        The unaffected outcome, where one was named.
    """
    out: dict[str, Any] = dict.fromkeys(
        (
            "leave_one_out", "hangs_on", "placebo_share", "placebo_dates", "e_value", "e_value_limit",
            "missing_bounds", "without_untouched",
        )
    )  # fmt: skip
    out |= {
        "missing_practices": 0 if series.missing is None else series.missing.n,
        "unfinished_attempts": int(np.sum(~series.attempt_finished)),
        "negative_control": None if negative is None else _reported(negative),
    }
    warned = [] if negative is None else _of_negative(negative)
    if model is None or estimate is None:
        return out, tuple(warned)
    for part, warnings in (
        _without_one(series, model, estimate, judging),
        _false_dates(series, model, estimate),
        _unseen_cause(series, estimate, judging),
        _missing(series, model, estimate, judging),
        _without_untouched(series, model, estimate),
    ):
        out |= part
        warned += warnings
    return out, tuple(warned)


def _without_untouched(series: PracticeSeries, model: Model, estimate: Estimate) -> Part:
    """Estimate the series alone where an untouched one was subtracted, and say so where that alone is surer.

    The untouched series takes away what fell on the same day, and brings the chance of its own counts.
    """
    if series.control is None:
        return {}, []
    try:
        plain = build_model(replace(series, control=None), trend=TREND in model.names)
        alone = estimate_effect(plain, series.kind.name, confidence=estimate.confidence)
    except DesignError:
        return {}, []
    values = (alone.effect, alone.low, alone.high)
    part = dict(zip(("estimate", "low", "high"), (on_scale(series.kind, value) for value in values), strict=True))
    if (alone.high - alone.low) * NOISY_COMPARISON > estimate.high - estimate.low:
        return {"without_untouched": part}, []
    message = (
        f"Without the untouched series the effect would be {span(series.kind, alone.low, alone.high)}, which is surer: "
        "the untouched series brings chance of its own. What it takes away is whatever fell on the same day for both."
    )
    return {"without_untouched": part}, [Warned(code="noisy_comparison", message=message)]


def on_scale(kind: Kind, value: float) -> float:
    """Put an effect of the link scale on the scale of the JSON: a ratio, or points."""
    return math.exp(min(value, 700.0)) if kind.scale == "ratio" else value


def _without_one(series: PracticeSeries, model: Model, estimate: Estimate, judging: Judging) -> Part:
    left = without_one(model, estimate)
    known = np.empty(0) if left is None else left.effects[np.isfinite(left.effects)]
    if left is None or not known.size:
        return {}, []
    turning = np.flatnonzero(_turns(left, estimate, judging))
    turning = turning[np.argsort(-np.abs(left.effects[turning] - estimate.effect), kind="stable")]
    names = [series.labels[i] for i in turning.tolist()]
    part = {
        "leave_one_out": [on_scale(series.kind, float(end)) for end in (known.min(), known.max())],
        "hangs_on": names,
    }
    if not names:
        return part, []
    others = f" The same holds, each alone, for {_listed(names[1:])}." if len(names) > 1 else ""
    said = amount(series.kind, float(left.effects[turning[0]]))
    message = (
        f"The answer hangs on one practice: without {names[0]} the effect would be {said}, and the answer "
        f"another.{others} Look whether something was special about it; that alone is no reason to leave it out."
    )
    return part, [Warned(code="hangs_on_one", message=message)]


def _listed(names: list[str]) -> str:
    shown = ", ".join(names[:_NAMED])
    return shown if len(names) <= _NAMED else f"{shown} and {len(names) - _NAMED} more"


def _turns(left: WithoutOne, estimate: Estimate, judging: Judging) -> NDArray[np.bool_]:
    """Whether the interval would be judged otherwise without each practice; a silent result has nothing to turn."""
    distance = judging.distance or 0.0
    plain = verdict(estimate.effect, estimate.low, estimate.high, distance, judging.better)
    known = np.isfinite(left.effects)
    if plain == CANNOT_TELL:
        return np.zeros(known.size, dtype=bool)
    too_small = np.abs(left.effects) < distance
    within = too_small & left.leaves_out(distance) & left.leaves_out(-distance)
    if plain == NO_DIFFERENCE:
        return known & ~within
    still = left.leaves_out(0.0) & (left.effects * estimate.effect > 0)
    return known & ~(still & ~(too_small if plain == BETTER else within))


def _false_dates(series: PracticeSeries, model: Model, estimate: Estimate) -> Part:
    """Count false dates that give as large an effect; where no effect is claimed there is nothing to doubt."""
    false = placebo_effects(model, series.phase.astype(float), series.kind.name)
    as_large = int(np.sum(np.abs(false) >= abs(estimate.effect)))
    part: dict[str, Any] = {
        "placebo_share": as_large / false.size if false.size else None, "placebo_dates": int(false.size)
    }  # fmt: skip
    claimed = estimate.low * estimate.high > 0
    if not claimed or as_large < FALSE_DATES or as_large < FALSE_DATES_SHARE * false.size:
        return part, []
    message = (
        f"Before the change, {as_large} of {false.size} false dates give as large an effect as the real one: the "
        "outcome moves like this by itself."
    )
    return part, [Warned(code="placebo_dates", message=message)]


def _unseen_cause(series: PracticeSeries, estimate: Estimate, judging: Judging) -> Part:
    """Warn only where the design itself does not answer for other causes."""
    if series.kind.scale != "ratio":
        return {}, []
    ends = [on_scale(series.kind, x) for x in (estimate.effect, estimate.low, estimate.high)]
    needed = e_value(*ends, ratio_of="odds" if series.kind.name == "success" else "rates")
    part = {"e_value": needed.point, "e_value_limit": needed.limit}
    weak = needed.limit is not None and needed.limit < SMALL_E_VALUE
    if judging.verdict != BETTER or judging.rung not in (NOTED, BEFORE_AFTER) or not weak:
        return part, []
    message = (
        f"A weak cause that nobody logged could explain this away: one that is {needed.limit:.2f} times as common with "
        f"the new setting, and changes the outcome {needed.limit:.2f} times, would be enough (E-value of the interval)."
    )
    return part, [Warned(code="easily_explained", message=message)]


def _missing(series: PracticeSeries, model: Model, estimate: Estimate, judging: Judging) -> Part:
    bounds = missing_bounds(series, model, estimate)
    if bounds is None:
        return {}, []
    part = {"missing_bounds": [on_scale(series.kind, end) for end in bounds]}
    if not _may_turn(bounds, estimate, judging):
        return part, []
    message = (
        "The missing values could turn the answer: had they been as good or as bad as the best and the worst that "
        f"were measured, the effect could be anything {from_to(series.kind, bounds)}."
    )
    return part, [Warned(code="missing_could_turn", message=message)]


def _may_turn(bounds: tuple[float, float], estimate: Estimate, judging: Judging) -> bool:
    distance = judging.distance or 0.0
    plain = verdict(estimate.effect, estimate.low, estimate.high, distance, judging.better)
    if plain == NO_DIFFERENCE:
        return max(-bounds[0], bounds[1]) >= distance
    if plain == CANNOT_TELL:
        return False
    weakest = bounds[0] if estimate.effect > 0 else -bounds[1]
    return weakest <= 0 or (plain == BETTER and weakest < distance)


def from_to(kind: Kind, ends: tuple[float, float]) -> str:
    """Say a range of effects (link scale): "from 3% faster to 8% faster", "between 1% slower and 8% faster"."""
    said = span(kind, *ends)
    return said if said.startswith("between") else f"from {said}"


def _reported(negative: NegativeControl) -> dict[str, Any]:
    ends = {"estimate": negative.effect, "low": negative.low, "high": negative.high}
    scaled = {name: None if end is None else on_scale(negative.kind, end) for name, end in ends.items()}
    return {"outcome": negative.outcome, "kind": negative.kind.name, **scaled, "p": negative.p}


def _of_negative(negative: NegativeControl) -> list[Warned]:
    if negative.effect is None:
        message = f"Whether {spoken(negative.outcome)} stayed as it was cannot be told: {negative.reason}"
        return [Warned(code="negative_control_unknown", message=message)]
    if not negative.moved or negative.low is None or negative.high is None:
        return []
    message = (
        f"Something else changed at the same time: {spoken(negative.outcome)}, which the change cannot affect, moved "
        f"too ({amount(negative.kind, negative.effect)}; {span(negative.kind, negative.low, negative.high)})."
    )
    return [Warned(code="negative_control_moved", message=message)]
