"""What a reader must know before using a result; codes are stable, messages are for people."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.marginal import central_effect
from rampbook.estimators.model import Model, build_model
from rampbook.estimators.working import half_count_response
from rampbook.evidence.facts import Facts
from rampbook.evidence.finding import Warned
from rampbook.evidence.rungs import Placed, unfinished_shares
from rampbook.evidence.sentences import amount
from rampbook.series.practices import PracticeSeries, Summaries
from rampbook.units import Better

_FULL_MARKS = 5
_BAD_SPELL_SD = 1.0
_SPELL = 2
_FAR_OFF = 4.0


def bad_spell(series: PracticeSeries, better: Better) -> bool:
    """Whether the last two practices before the change were worse than the earlier ones by over one SD."""
    first = int(series.crossings[0]) if series.crossings.size else series.n
    if series.kind.name in ("count", "success"):
        value = half_count_response(series.kind.name, series.main.value, series.main.size)[0][:first]
    else:
        value = series.main.value[:first]
    if value.size < _SPELL + 3:
        return False
    spread = float(np.std(value[:-_SPELL], ddof=1))
    worse = float(np.mean(value[-_SPELL:]) - np.mean(value[:-_SPELL]))
    return spread > 0 and (worse if better == "lower" else -worse) > _BAD_SPELL_SD * spread


def warnings_of(
    typed: PracticeSeries,
    series: PracticeSeries,
    model: Model | None,
    refusal: str | None,
    trend: bool,
    facts: Facts,
    placed: Placed,
    spell: bool,
) -> tuple[Warned, ...]:
    """List the warnings of a result, the gravest first."""
    out = [] if refusal is None else [Warned(code="not_estimated", message=refusal)]
    out += _of_chairs(facts)
    out += [Warned(code="rung_falls", message=f"The rung is lower because {fall}.") for fall in placed.falls]
    if facts.simultaneous:
        out.append(
            Warned(
                code="several_settings",
                message=_together(facts),
            )
        )
    if facts.nothing_changed:
        out.append(Warned(code="nothing_changed", message=f"Nothing changed for the chair: {facts.nothing_changed}."))
    out += _touches(facts)
    if facts.outcomes_measured > 1 and not facts.declared:
        out.append(
            Warned(
                code="several_outcomes",
                message=f"{facts.outcomes_measured} outcomes were measured around this change and none was declared "
                "beforehand. Look at all of them before speaking of one.",
            )
        )
    if 0 < min(series.n_before, series.n_after) < _FULL_MARKS:
        out.append(Warned(code="few_practices", message="Fewer than 5 practices on a side: full marks need 5."))
    if spell and not facts.reacting:
        out.append(
            Warned(
                code="bad_spell",
                message="The last practices before the change were unusually bad; things tend to get better by "
                "themselves after that.",
            )
        )
    out += _of_data(typed, series, model)
    out += _of_unfinished(series, trend)
    out += _far_off(series)
    if not trend:
        out.append(Warned(code="no_trend", message="The trend was left out by choice: learning is not allowed for."))
    return tuple(out)


def _of_chairs(facts: Facts) -> list[Warned]:
    out = [Warned(code="new_baseline", message=text) for text in facts.new_baselines]
    if facts.two_chairs:
        told = "If only one chair was driven in practice, say so: rampbook chair, with --until for the other."
        out.append(Warned(code="two_chairs", message=told))
    return out


def _together(facts: Facts) -> str:
    others = ", ".join(facts.simultaneous)
    if facts.bundle is None:
        return f"Also changed that day: {others}. This estimates the bundle."
    return f"Changed in one go: this setting and {others}. This estimates bundle {facts.bundle}, never one of them."


def _touches(facts: Facts) -> list[Warned]:
    if facts.touches is None:
        return []
    ratio, low, high = facts.touches
    return [
        Warned(
            code="touches",
            message=f"Touches an attempt: {ratio:.2f} times the old rate (80% interval {low:.2f} to "
            f"{high:.2f}). Time and touches are judged together.",
        )
    ]


def _of_data(typed: PracticeSeries, series: PracticeSeries, model: Model | None) -> list[Warned]:
    out = []
    if typed.n_missing:
        out.append(
            Warned(code="missing_practices", message=f"{typed.n_missing} practices gave no value and are left out.")
        )
    if typed.control is not None and series.control is None:
        out.append(
            Warned(
                code="control_too_thin",
                message="The untouched series has fewer than 3 practices on a side, so it is not used.",
            )
        )
    elif series.n < typed.n:
        out.append(
            Warned(
                code="control_missing",
                message=f"{typed.n - series.n} practices lack the untouched series and are left out of the comparison.",
            )
        )
    if model is not None and model.half_counts:
        out.append(
            Warned(
                code="half_counts",
                message="One side has nothing but zeros (or hits), so half counts are used: they pull toward "
                "no effect. No events is not the same as safe.",
            )
        )
    return out


def _far_off(series: PracticeSeries) -> list[Warned]:
    """Point out times that are likely to be mistyped; they stay in, since nobody but the typist can know."""
    if series.kind.name != "time":
        return []
    middle = float(np.median(series.attempt_value))
    far = np.flatnonzero(np.abs(np.log(series.attempt_value / middle)) > np.log(_FAR_OFF))
    if not far.size:
        return []
    places = [series.labels[i] for i in series.attempt_practice[far[:5]].tolist()]
    values = series.attempt_value[far[:5]].tolist()
    named = ", ".join(f"{value:g} s at practice {place}" for value, place in zip(values, places, strict=True))
    return [
        Warned(
            code="far_off",
            message=f"{far.size} times are over {_FAR_OFF:g} times longer or shorter than the middle one "
            f"({middle:.3g} s): {named}. Look whether they were mistyped: one of them can turn a result.",
        )
    ]


def _of_unfinished(series: PracticeSeries, trend: bool) -> list[Warned]:
    missed = int(np.sum(~series.attempt_finished))
    if not missed:
        return []
    before, after = unfinished_shares(series)
    text = (
        f"{missed} of {series.attempt_finished.size} attempts were not finished ({before:.0%} before, "
        f"{after:.0%} after). "
        "Each is counted at its time limit, as at least that slow."
    )
    without = _finished_only(series, trend)
    if without is not None:
        text += f" Leaving them out instead would give: {without}."
    return [Warned(code="unfinished_attempts", message=text)]


def _finished_only(series: PracticeSeries, trend: bool) -> str | None:
    """Say the effect from finished attempts alone, or None where that cannot be had."""
    if series.control is not None or series.covariate_names:
        return None
    rows = series.attempt_finished
    index = series.attempt_practice[rows]
    size = np.bincount(index, minlength=series.n).astype(float)
    if np.any(size == 0):
        return "practices without any finished attempt, so no comparison"
    value = np.bincount(index, weights=np.log(series.attempt_value[rows]), minlength=series.n) / size
    finished = replace(series, main=Summaries(value=value, size=size))
    try:
        return amount(series.kind, central_effect(build_model(finished, trend=trend), series.kind.name))
    except DesignError:
        return None
