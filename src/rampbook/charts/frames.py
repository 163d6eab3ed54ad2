"""The rows that the picture of one change is drawn from, and the same finding in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from itertools import groupby, pairwise
from statistics import median

from rampbook.charts.marks import Row
from rampbook.charts.ticks import day
from rampbook.charts.words import effect_words, interval_words, rung_words, verdict_words, without_words
from rampbook.evidence.finding import Drawing, Finding, PracticePoint

# A break is worth a word when it is at least two weeks and well longer than this series' usual step.
LONG_GAP_DAYS = 14
LONG_GAP_STEPS = 2.5
MOST_GAPS = 3
# The words for who cannot see the picture name this many crossings of an alternating design.
MOST_TOLD = 4
# Attempts of one practice are spread over this part of a step, in their order, so that equal ones stay
# visible.
SPREAD = 0.5


def effect_frames(finding: Finding) -> dict[str, list[Row]]:
    """Give what the picture draws, as plain rows.

    Returns
    -------
    dict of str to list of dict
        ``practices`` (position, on, label, phase, setting, value), ``attempts`` (position, phase, value,
        unfinished), ``fitted`` and ``without`` (run, phase, position, value; the latter with low and
        high), ``phases`` (start, end, phase, setting), ``changes`` and ``events`` (position, text, on),
        ``gaps`` (position, text), ``control`` (position, phase, value) and ``effect`` (estimate, low, high,
        worthwhile). Positions count practices from 0; values are on the natural scale of the outcome.
    """
    drawing = finding.drawing
    return {
        "practices": [_practice(point, drawing) for point in drawing.points],
        "attempts": [row for point in drawing.points for row in _attempts(point)],
        "fitted": list(_curve(drawing, lambda p: p.fitted is not None, ("fitted",))),
        "without": list(_curve(drawing, _has_without, ("without", "without_low", "without_high"))),
        "phases": _phases(drawing),
        "changes": [
            {"position": _before(c.position), "text": c.text, "on": c.on.isoformat() if c.on else None}
            for c in drawing.changes
        ],
        "events": [
            {"position": e.position, "text": e.text, "on": e.on.isoformat() if e.on else None} for e in drawing.events
        ],
        "gaps": _gaps(drawing.points),
        "control": [
            {"position": p.position, "phase": p.phase, "value": p.control}
            for p in drawing.points
            if p.control is not None
        ],
        "effect": [
            {
                "estimate": finding.estimate,
                "low": finding.low,
                "high": finding.high,
                "worthwhile": finding.worthwhile,
            }
        ],
    }


def alt_text(finding: Finding) -> str:
    """Say the picture in words: what was changed, what was found, and how far it may be believed."""
    drawing = finding.drawing
    n = finding.n
    parts = [
        f"{drawing.title}. {drawing.axis}, practice by practice.",
        *(f"Changed: {dated(change.text, change.on)}." for change in drawing.changes[:MOST_TOLD]),
        f"{n.get('before', 0)} practices with {drawing.old_label}, {n.get('after', 0)} with {drawing.new_label}.",
        f"Effect: {effect_words(finding)} ({interval_words(finding).rstrip('.')}).",
        f"Verdict: {verdict_words(finding)}. Rung: {rung_words(finding.rung)}.",
        f"May be said: {finding.allowed_sentence.rstrip('.')}.",
        *(f"Not shown: {text.rstrip('.')}." for text in finding.not_shown),
        *(f"Know first: {warned.message.rstrip('.')}." for warned in finding.warnings),
        *(f"Also logged: {dated(event.text, event.on)}." for event in drawing.events),
    ]
    if any(_has_without(point) for point in drawing.points):
        parts.insert(3, f"A dashed line carries the earlier trend on: {without_words(drawing.old_label)}.")
    return " ".join(parts)


def _practice(point: PracticePoint, drawing: Drawing) -> Row:
    return {
        "position": point.position,
        "on": point.on.isoformat() if point.on else None,
        "label": point.label,
        "phase": point.phase,
        "setting": drawing.new_label if point.phase else drawing.old_label,
        "value": point.value,
    }


def _attempts(point: PracticePoint) -> Iterator[Row]:
    # A single finished attempt is the practice's own mark; drawing it twice would say nothing.
    if len(point.attempts) < 2 and not any(point.unfinished):
        return
    count = len(point.attempts)
    for i, value in enumerate(point.attempts):
        shift = SPREAD * ((i + 0.5) / count - 0.5)
        unfinished = i < len(point.unfinished) and point.unfinished[i]
        yield {
            "position": point.position + shift,
            "phase": point.phase,
            "value": value,
            "unfinished": unfinished,
        }


def _has_without(point: PracticePoint) -> bool:
    return point.phase == 1 and point.without is not None


def _runs(points: tuple[PracticePoint, ...]) -> list[list[PracticePoint]]:
    """Split the practices into runs of one setting."""
    return [list(run) for _, run in groupby(points, key=lambda point: point.phase)]


def _curve(drawing: Drawing, wanted: Callable[[PracticePoint], bool], columns: tuple[str, ...]) -> Iterator[Row]:
    """Give a curve run by run, carried half a step to both sides so that a run of one is a line too."""
    for number, whole in enumerate(_runs(drawing.points)):
        run = [point for point in whole if wanted(point)]
        if not run:
            continue
        for point, shift, neighbours in _places(run, drawing.points):
            row: Row = {"run": number, "phase": point.phase, "position": point.position + shift}
            for name, column in zip(("value", "low", "high"), columns, strict=False):
                value = getattr(point, column)
                if value is not None:
                    row[name] = value + shift * _slope(*neighbours, point, column)
            yield row


def _places(
    run: list[PracticePoint], points: tuple[PracticePoint, ...]
) -> Iterator[tuple[PracticePoint, float, tuple[PracticePoint, PracticePoint]]]:
    """Give, for each drawn place, its practice, the shift from it, and two practices that give the slope."""
    first, last = run[0], run[-1]
    at_start, at_end = (run[0], run[min(1, len(run) - 1)]), (run[max(len(run) - 2, 0)], run[-1])
    if len(run) == 1:
        index = points.index(first)
        at_start = at_end = (points[max(index - 1, 0)], points[min(index + 1, len(points) - 1)])
    yield first, -0.5, at_start
    yield from ((point, 0.0, at_start) for point in run)
    yield last, 0.5, at_end


def _slope(a: PracticePoint, b: PracticePoint, point: PracticePoint, column: str) -> float:
    """Give the rise between two practices; across a change, that of the trend they have in common."""
    step = b.position - a.position
    if a.phase == b.phase == point.phase or "without" in column:
        first, second, share = getattr(a, column), getattr(b, column), 1.0
    else:
        first, second = a.without, b.without
        share = getattr(point, column) / point.without if point.without else 1.0
    return share * (second - first) / step if step and first is not None and second is not None else 0.0


def _phases(drawing: Drawing) -> list[Row]:
    return [
        {
            "start": run[0].position - 0.5,
            "end": run[-1].position + 0.5,
            "phase": run[0].phase,
            "setting": drawing.new_label if run[0].phase else drawing.old_label,
        }
        for run in _runs(drawing.points)
    ]


def _before(position: float) -> float:
    """Put a change between two practices: a whole number names the practice before which it stands."""
    return position - 0.5 if float(position).is_integer() else position


def dated(text: str, on: date | None) -> str:
    """Put the date, where it is known, behind what happened."""
    return f"{text}, {day(on)}" if on else text


def _gaps(points: tuple[PracticePoint, ...]) -> list[Row]:
    """Name the longest breaks in the calendar, since the picture runs by practice and would hide them."""
    steps = [((b.on - a.on).days, (a.position + b.position) / 2) for a, b in pairwise(points) if a.on and b.on]
    if not steps:
        return []
    usual = median(days for days, _ in steps)
    long = [step for step in steps if step[0] >= max(LONG_GAP_DAYS, LONG_GAP_STEPS * usual)]
    kept = sorted(sorted(long, reverse=True)[:MOST_GAPS], key=lambda step: step[1])
    return [{"position": place, "text": f"{days} days without practice"} for days, place in kept]
