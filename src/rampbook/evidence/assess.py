"""From the practices of a series and the facts of its design to a finding: numbers, verdict, rung, sentence, limits."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.effect_sizes import effect_sizes
from rampbook.estimators.grid import prior_text
from rampbook.estimators.looks import Looks, allow_for_looks
from rampbook.estimators.marginal import Estimate, estimate_effect
from rampbook.estimators.model import TREND, Model, build_model
from rampbook.estimators.settle import practices_to_settle
from rampbook.estimators.usual_fits import usual_fits
from rampbook.evidence import rungs, verdicts, worthwhile
from rampbook.evidence.draw import draw, natural
from rampbook.evidence.facts import Facts, Labels
from rampbook.evidence.finding import Finding, SensitivityRow, Warned
from rampbook.evidence.fragility import Judging, NegativeControl, negative_control, on_scale, robustness, spoken
from rampbook.evidence.look_words import beyond
from rampbook.evidence.sentences import allowed_sentence, not_shown, with_doubts
from rampbook.evidence.table import tabled
from rampbook.evidence.warn import bad_spell, warnings_of
from rampbook.series.practices import Missing, PracticeSeries
from rampbook.series.read import has_control
from rampbook.units import Better

_PLAIN, _FACTS, _LABELS = "marginalised GLS", Facts(), Labels()


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """What the user chose.

    Attributes
    ----------
    confidence : float
        Of the interval, between 0.5 and 1.
    trend : bool
        Whether the earlier trend is allowed for.
    worthwhile : float or None
        Smallest worthwhile change as a ratio or in points; None takes half the spread with the old setting.
    better : str or None
        Which direction is better; None takes what the kind has.
    sensitivity : bool
        Whether the textbook fits are made as well.
    lags : int
        Lags of the Newey-West row.
    until : int or None
        Practices with the new setting, in all, up to which one looks after every practice; None for one look.
    """

    confidence: float = 0.95
    trend: bool = True
    worthwhile: float | None = None
    better: Better | None = None
    sensitivity: bool = True
    lags: int = 1
    until: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """What could be estimated, or why not."""

    model: Model | None
    estimate: Estimate | None
    refusal: str | None
    looks: Looks | None = None


def fit(series: PracticeSeries, options: Options) -> Fitted:
    """Estimate the effect of a series, or say why it cannot be had."""
    if not rungs.enough(series):
        return Fitted(
            model=None,
            estimate=None,
            refusal=f"{series.n_before} practices before and {series.n_after} after: at least 3 a side are needed.",
        )
    model: Model | None = None
    try:
        model = build_model(series, trend=options.trend)
        estimate = estimate_effect(model, series.kind.name, confidence=options.confidence)
        if options.until is None:
            return Fitted(model=model, estimate=estimate, refusal=None)
        looks = allow_for_looks(model, estimate, series.kind.name, options.until)
        return Fitted(model=model, estimate=looks.estimate, refusal=None, looks=looks)
    except DesignError as error:
        return Fitted(model=model, estimate=None, refusal=str(error))


def usable_control(series: PracticeSeries) -> PracticeSeries:
    """Keep the untouched series where it can carry a comparison: at least three practices on either side have both.

    Practices without it are then left out of the comparison; where it cannot carry one, it is dropped.
    """
    if series.control is None or not has_control(series):
        return replace(series, control=None)
    both = np.isfinite(series.control.value)
    if min(np.sum(both & (series.phase == 0)), np.sum(both & (series.phase == 1))) < rungs.LEAST_SIDE:
        return replace(series, control=None)
    return series if np.all(both) else _take(series, both)


def _take(series: PracticeSeries, keep: Any) -> PracticeSeries:
    rows = keep[series.attempt_practice]
    renumber = np.cumsum(keep) - 1
    return replace(
        series,
        labels=tuple(np.array(series.labels)[keep].tolist()),
        dates=tuple(day for day, kept in zip(series.dates, keep, strict=True) if kept),
        elapsed=series.elapsed[keep],
        phase=series.phase[keep],
        main=series.main.take(keep),
        control=series.control.take(keep) if series.control else None,
        covariates=series.covariates[keep],
        attempt_value=series.attempt_value[rows],
        attempt_practice=renumber[series.attempt_practice[rows]],
        attempt_finished=series.attempt_finished[rows],
        missing=_with_dropped(series, ~keep),
    )


def _with_dropped(series: PracticeSeries, dropped: Any) -> Missing:
    """Count the practices that the comparison leaves out as missing from it."""
    parts = [(series.elapsed[dropped], series.phase[dropped], series.covariates[dropped])]
    if series.missing is not None:
        parts.append((series.missing.elapsed, series.missing.phase, series.missing.covariates))
    elapsed, phase, covariates = (np.concatenate(part) for part in zip(*parts, strict=True))
    order = np.argsort(elapsed, kind="stable")
    return Missing(elapsed=elapsed[order], phase=phase[order], covariates=covariates[order])


def assess(
    series: PracticeSeries,
    options: Options,
    facts: Facts = _FACTS,
    labels: Labels = _LABELS,
    *,
    change: str | None = None,
    outcome: str | None = None,
) -> Finding:
    """Give the finding of one series."""
    compared = usable_control(series)
    fitted = fit(compared, options)
    better = options.better or series.kind.better
    distance, moved = _worthwhile(compared, fitted, options), _moved(compared, fitted)
    verdict = _verdict(fitted.estimate, distance, better, facts)
    negative = _negative(series, options, labels)
    held = held_back(compared, verdict, facts, moved, negative)
    verdict = verdicts.CANNOT_TELL if held and verdict == verdicts.BETTER else verdict
    spell, beside = bad_spell(compared, better), compared.control is not None
    placed = rungs.place(compared, facts, demonstrations=_shown(fitted, moved), compared=beside, bad_spell=spell)
    untold = placed.rung == rungs.NOTED and not facts.simultaneous
    verdict = verdicts.of_noted(verdict) if untold else verdict
    numbers = _numbers(fitted.estimate)
    judging = Judging(distance=distance, better=better, verdict=verdict, rung=placed.rung)
    fragile, doubts = robustness(compared, fitted.model, fitted.estimate, judging, negative)
    said = allowed_sentence(series.kind, placed, facts, verdict, numbers, trend=options.trend)
    return Finding(
        kind=series.kind,
        better=better,
        **_reported(compared, fitted.estimate),
        confidence=options.confidence,
        n=_sizes(compared),
        method=_method(compared, fitted, options),
        verdict=verdict,
        worthwhile=_reported_worthwhile(compared, distance, options, better),
        practices_to_settle=None if held or untold else _to_settle(fitted, distance, verdict),
        rung=placed.rung,
        allowed_sentence=with_doubts(said, held),
        not_shown=not_shown(placed, facts, compared=beside, trend=options.trend, estimated=numbers is not None),
        warnings=(
            *warnings_of(series, compared, fitted.model, fitted.refusal, options.trend, facts, placed, spell),
            *doubts, *beyond(options.until, compared.n_after), *_of_held(held),
        ),
        sensitivity=_sensitivity(compared, options),
        effect_sizes=_effect_sizes(compared, better),
        robustness=fragile,
        change=change,
        outcome=outcome,
        drawing=draw(compared, fitted.model, fitted.estimate, labels),
    )


def _numbers(estimate: Estimate | None) -> tuple[float, float, float] | None:
    return None if estimate is None else (estimate.effect, estimate.low, estimate.high)


def _reported(series: PracticeSeries, estimate: Estimate | None) -> dict[str, float | None]:
    if estimate is None:
        return {"estimate": None, "low": None, "high": None, "p": None}
    ends = {name: on_scale(series.kind, getattr(estimate, name)) for name in ("low", "high")}
    return {"estimate": on_scale(series.kind, estimate.effect), **ends, "p": estimate.p}


def _worthwhile(series: PracticeSeries, fitted: Fitted, options: Options) -> float | None:
    if options.worthwhile is not None:
        return worthwhile.declared(series.kind, options.worthwhile)
    return None if fitted.model is None else worthwhile.from_before(series, fitted.model.main_response)


def _reported_worthwhile(
    series: PracticeSeries, distance: float | None, options: Options, better: Better
) -> float | None:
    if options.worthwhile is not None or distance is None:
        return options.worthwhile
    return on_scale(series.kind, distance if better == "higher" or series.kind.scale == "points" else -distance)


def _verdict(estimate: Estimate | None, distance: float | None, better: Better, facts: Facts) -> str:
    if estimate is None or facts.nothing_changed:
        return verdicts.CANNOT_TELL
    if distance is None:
        harm = estimate.low > 0 if better == "lower" else estimate.high < 0
        return verdicts.WORSE if harm else verdicts.CANNOT_TELL
    judged = verdicts.verdict(estimate.effect, estimate.low, estimate.high, distance, better)
    return verdicts.with_touches(judged, facts.touches)


def _negative(series: PracticeSeries, options: Options, labels: Labels) -> NegativeControl | None:
    """Estimate the outcome that the change cannot affect, in the same way."""
    if series.unaffected is None:
        return None
    fitted = fit(series.unaffected, replace(options, until=None))
    return negative_control(series.unaffected, fitted.estimate, labels.unaffected, fitted.refusal)


def held_back(
    series: PracticeSeries,
    verdict: str,
    facts: Facts,
    moved: tuple[int, int],
    negative: NegativeControl | None = None,
) -> tuple[str, ...]:
    """Say what keeps an effect from being called better, in words: none of it is in the interval."""
    held = list(verdicts.touch_doubts(verdict, facts.touches))
    agreeing, crossings = moved
    if crossings > 1 and not rungs.mostly_agree(agreeing, crossings):
        held.append(f"it moved with the setting at only {agreeing} of {crossings} changes of it")
    if max(rungs.unfinished_shares(series)) > rungs.MOSTLY:
        held.append("more than half of the attempts on one side were not finished")
    if negative is not None and negative.moved:
        held.append(f"{spoken(negative.outcome)}, which the change cannot affect, moved as well")
    return tuple(held)


def _of_held(held: tuple[str, ...]) -> tuple[Warned, ...]:
    return tuple(Warned(code="held_back", message=f"{reason[0].upper()}{reason[1:]}.") for reason in held)


def _to_settle(fitted: Fitted, distance: float | None, verdict: str) -> int | None:
    if verdict != verdicts.CANNOT_TELL or fitted.model is None or fitted.estimate is None or distance is None:
        return None
    return practices_to_settle(fitted.model, fitted.estimate, distance)


def _moved(series: PracticeSeries, fitted: Fitted) -> tuple[int, int]:
    """Count the crossings that moved as the effect says, and all of them; none where nothing was estimated."""
    estimate, model = fitted.estimate, fitted.model
    if estimate is None or model is None:
        return 0, 0
    slope = 0.0
    if TREND in model.names:
        slope = float(np.sum(estimate.fit.weight[0] * estimate.fit.beta[0, :, model.names.index(TREND)]))
    return rungs.agreement(series, model.response, slope, estimate.effect)


def _shown(fitted: Fitted, moved: tuple[int, int]) -> int:
    """Demonstrations at separate points in time; none unless the interval leaves out no effect and most agree."""
    estimate = fitted.estimate
    if estimate is None or estimate.low * estimate.high <= 0 or not rungs.mostly_agree(*moved):
        return 0
    return moved[0]


def _sizes(series: PracticeSeries) -> dict[str, int]:
    return {
        "practices": series.n,
        "before": series.n_before,
        "after": series.n_after,
        "attempts": int(series.attempt_value.size),
    }


def _method(series: PracticeSeries, fitted: Fitted, options: Options) -> dict[str, Any]:
    estimate = fitted.estimate
    rho = {"mean": None, "low": None, "high": None}
    if estimate is not None:
        rho = {"mean": estimate.rho_mean, "low": estimate.rho_low, "high": estimate.rho_high}  # type: ignore[dict-item]
    return {
        "name": _PLAIN + (", difference from the untouched series" if series.control is not None else ""),
        "trend": "by practice" if options.trend else None,
        "prior": prior_text(series.kind.name),
        "autocorrelation": rho,
        "response": _response_name(series, fitted.model),
        "stretch": None if estimate is None else estimate.stretch,
        "covariates": list(series.covariate_names),
        "looks": None if fitted.looks is None else fitted.looks.told(),
    }


def _response_name(series: PracticeSeries, model: Model | None) -> str:
    if model is not None and model.half_counts:
        return "half counts"
    return {
        "time": "mean log seconds of a practice",
        "rating": "mean rating of a practice",
        "count": "working response of a Poisson fit",
        "success": "working response of a binomial fit",
    }[series.kind.name]


def _sensitivity(series: PracticeSeries, options: Options) -> tuple[SensitivityRow, ...]:
    if not options.sensitivity:
        return ()
    rows = usual_fits(tabled(series, trend=options.trend), lags=options.lags)
    names = ("name", "estimate", "low", "high", "p", "algorithm", "reason")
    return tuple(SensitivityRow(**{name: getattr(row, name) for name in names}) for row in rows)


def _effect_sizes(series: PracticeSeries, better: Better) -> dict[str, float | None]:
    value = natural(series.kind, series.main)
    return dict(effect_sizes(value[series.phase == 0], value[series.phase == 1], better=better))
