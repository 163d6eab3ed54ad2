"""What the picture needs of a series: each practice with what the model says of it, on the natural scale."""

from __future__ import annotations

import math

import numpy as np

from rampbook.estimators.marginal import Estimate, line
from rampbook.estimators.model import Model
from rampbook.evidence.facts import Labels
from rampbook.evidence.finding import ChangeMark, Drawing, PracticePoint
from rampbook.series.practices import Floats, PracticeSeries, Summaries
from rampbook.units import Kind


def _to_natural(kind: Kind, link: Floats, per: float) -> Floats:
    link = np.clip(link, -700, 700)
    if kind.name == "rating":
        return link
    if kind.name == "success":
        return np.asarray(1.0 / (1.0 + np.exp(-link)))
    return np.asarray(np.exp(link) * (per if kind.name == "count" else 1.0))


def natural(kind: Kind, summaries: Summaries, per: float = 1.0) -> Floats:
    """Give practice values on their natural scale: seconds, count by exposure, points, share of tries."""
    if kind.name == "time":
        return np.asarray(np.exp(summaries.value))
    if kind.name == "rating":
        return summaries.value
    return np.asarray(summaries.value / summaries.size * (per if kind.name == "count" else 1.0))


def _lines(series: PracticeSeries, model: Model | None, estimate: Estimate | None, per: float) -> list[Floats] | None:
    """Fitted, and without the change with its interval, each (n,); None where nothing was estimated.

    With an untouched series the model is of the difference, so its own level is added back.
    """
    if model is None or estimate is None:
        return None
    stayed = model.design.copy()
    stayed[:, model.effect] = 0.0
    shared = model.main_response - model.response
    fitted = line(estimate, model.design)[0] + shared
    without = [part + shared for part in line(estimate, stayed)]
    return [_to_natural(series.kind, part, per) for part in (fitted, *without)]


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def draw(series: PracticeSeries, model: Model | None, estimate: Estimate | None, labels: Labels) -> Drawing:
    """Give the drawing of a series."""
    return Drawing(
        title=labels.title,
        outcome_label=labels.outcome,
        axis=labels.axis or series.kind.axis,
        old_label=labels.old,
        new_label=labels.new,
        points=_points(series, model, estimate, labels.per),
        changes=labels.changes if labels.changes is not None else _crossing_marks(series, labels),
        events=labels.events,
        control_label=labels.control if series.control is not None else None,
        has_trend=model is not None and "trend" in model.names,
    )


def _points(
    series: PracticeSeries, model: Model | None, estimate: Estimate | None, per: float
) -> tuple[PracticePoint, ...]:
    value = natural(series.kind, series.main, per)
    control = natural(series.kind, series.control, per) if series.control is not None else None
    lines = _lines(series, model, estimate, per)
    grouped = _attempts_by_practice(series)
    out = []
    for i in range(series.n):
        fitted, without, low, high = (_number(part[i]) for part in lines) if lines else (None,) * 4
        attempts, unfinished = grouped[i]
        out.append(
            PracticePoint(
                position=i,
                label=series.labels[i],
                on=series.dates[i],
                phase=int(series.phase[i]),
                value=float(value[i]),
                size=float(series.main.size[i]),
                attempts=attempts,
                unfinished=unfinished,
                fitted=fitted,
                without=without,
                without_low=low,
                without_high=high,
                control=_number(control[i]) if control is not None else None,
            )
        )
    return tuple(out)


def _attempts_by_practice(series: PracticeSeries) -> list[tuple[tuple[float, ...], tuple[bool, ...]]]:
    """Give the attempts of times and ratings, where a practice has more than one; else there is nothing to draw."""
    if series.kind.name not in ("time", "rating"):
        return [((), ())] * series.n
    out = []
    for i in range(series.n):
        rows = series.attempt_practice == i
        missed = ~series.attempt_finished[rows]
        many = rows.sum() > 1 or bool(missed.any())
        out.append((tuple(series.attempt_value[rows].tolist()), tuple(missed.tolist())) if many else ((), ()))
    return out


def _crossing_marks(series: PracticeSeries, labels: Labels) -> tuple[ChangeMark, ...]:
    names = (labels.old, labels.new)
    return tuple(
        ChangeMark(
            position=float(i) - 0.5,
            on=series.dates[i],
            text=f"{names[series.phase[i - 1]]} → {names[series.phase[i]]}",
        )
        for i in series.crossings.tolist()
    )
