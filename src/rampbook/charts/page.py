"""One finding as a page, or as a part of one: the picture, its words, and a table of the same numbers."""

from __future__ import annotations

from html import escape

from rampbook.charts.effect_picture import effect_spec
from rampbook.charts.plot_scale import value_label
from rampbook.charts.render import to_svg
from rampbook.charts.words import effect_words, interval_words, rung_words, untouched_words, verdict_words
from rampbook.evidence.finding import Drawing, Finding, PracticePoint
from rampbook.evidence.fragile_words import fragile_words
from rampbook.evidence.look_words import look_words
from rampbook.units import Kind

# Both widths travel along, and the reader's screen decides; nothing is fetched and no script runs.
STYLE = """
.rampbook { max-width: 1040px; margin: 0 auto; font: 16px/1.45 Arial, Helvetica, sans-serif; color: #20262d; }
.rampbook svg { max-width: 100%; height: auto; }
.rampbook .narrow { display: none; }
.rampbook table { border-collapse: collapse; font-variant-numeric: tabular-nums; }
.rampbook th, .rampbook td { padding: 2px 12px 2px 0; text-align: right; }
.rampbook th:first-child, .rampbook td:first-child, .rampbook .word { text-align: left; }
.rampbook .scroll { overflow-x: auto; }
@media (max-width: 720px) { .rampbook .wide { display: none; } .rampbook .narrow { display: block; } }
@media print { .rampbook .wide { display: block; } .rampbook .narrow { display: none; } }
"""


def to_html(finding: Finding) -> str:
    """Give a whole page that holds everything itself: it can be mailed, stored and opened without a network.

    Returns
    -------
    str
        HTML; the same text for the same finding.
    """
    title = escape(finding.drawing.title)
    return (
        f'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>{title}</title>\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<style>{STYLE}</style>\n</head>\n<body>\n<main>\n{figure_html(finding)}\n</main>\n</body>\n</html>\n"
    )


def figure_html(finding: Finding) -> str:
    """Give the figure alone, for a page that has ``STYLE``: picture, caption, table of the numbers."""
    wide, narrow = (to_svg(effect_spec(finding, width=width)) for width in ("wide", "narrow"))
    return (
        f'<figure class="rampbook">\n<div class="wide">{wide}</div>\n<div class="narrow">{narrow}</div>\n'
        f"<figcaption>{_caption(finding)}</figcaption>\n{_fragile(finding)}"
        '<details>\n<summary>The same as numbers</summary>\n<div class="scroll">\n'
        f"{_practices_table(finding.kind, finding.drawing)}\n</div>\n"
        "</details>\n</figure>"
    )


def _caption(finding: Finding) -> str:
    looks = look_words(finding)
    said = [
        finding.allowed_sentence,
        f"Effect: {effect_words(finding)} ({interval_words(finding).rstrip('.')}).",
        *([looks] if looks else []),
        f"Verdict: {verdict_words(finding)}. Rung: {rung_words(finding.rung)}.",
        *(f"Not shown: {limit}" for limit in finding.not_shown),
    ]
    return " ".join(escape(sentence) for sentence in said)


def _fragile(finding: Finding) -> str:
    sentences = "".join(f"<li>{escape(sentence)}</li>\n" for sentence in fragile_words(finding))
    if not sentences:
        return ""
    return f"<details open>\n<summary>How fragile is it</summary>\n<ul>\n{sentences}</ul>\n</details>\n"


def _practices_table(kind: Kind, drawing: Drawing) -> str:
    has_control = any(point.control is not None for point in drawing.points)
    heads = ["practice", "setting", drawing.axis, "expected with the old setting", "its range"]
    heads += [untouched_words(drawing.control_label)] if has_control else []
    rows = "\n".join(_practice_row(kind, drawing, point, has_control=has_control) for point in drawing.points)
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in heads)
    return f"<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>"


def _practice_row(kind: Kind, drawing: Drawing, point: PracticePoint, *, has_control: bool) -> str:
    bounds = [_written(kind, bound) for bound in (point.without_low, point.without_high) if bound is not None]
    cells = [
        f'<th scope="row">{escape(point.on.isoformat() if point.on else point.label)}</th>',
        f'<td class="word">{escape(drawing.new_label if point.phase else drawing.old_label)}</td>',
        *(f"<td>{_written(kind, value)}</td>" for value in (point.value, point.without)),
        f"<td>{' to '.join(bounds)}</td>",
    ]
    cells += [f"<td>{_written(kind, point.control)}</td>"] if has_control else []
    return f"<tr>{''.join(cells)}</tr>"


def _written(kind: Kind, value: float | None) -> str:
    """Write a number of the table: four figures are more than anybody timed."""
    return "" if value is None else value_label(kind, float(f"{value:.4g}"))
