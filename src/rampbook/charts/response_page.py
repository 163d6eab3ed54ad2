"""The page of a response: the picture in two widths, its words as text, and the numbers behind it as tables."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape

from rampbook.charts.render import to_svg
from rampbook.charts.response_drawing import ResponseDrawing
from rampbook.charts.response_picture import Place, part_spec
from rampbook.charts.response_words import NAMES, PARTS, findings, percent, rounded, sections
from rampbook.charts.ticks import number
from rampbook.domain.kinematics import RunMeasure
from rampbook.domain.response import MOTIONS, WAYS, DirectionCurve
from rampbook.domain.throw import the_other, throw_number

MARK = '<meta name="generator" content="Rampbook">'
PLACES: tuple[Place, Place] = ("page", "narrow")
DEFLECTIONS = tuple(range(0, 101, 10))
# The screen decides between two widths; nothing is fetched and no script runs.
STYLE = """
body { margin: 0; padding: 12px; }
main { max-width: 860px; margin: 0 auto; font: 16px/1.45 Arial, Helvetica, sans-serif; color: #20262d; }
h1 { font-size: 1.35em; margin: 0 0 .3em; } h2 { font-size: 1.05em; margin: 1em 0 .2em; break-after: avoid; }
ul { margin: .2em 0 .6em; padding-left: 1.2em; } figure { margin: .6em 0; }
svg { max-width: 100%; height: auto; }
.lead { font-size: 1.1em; margin: .2em 0; } .quiet { color: #57616b; margin: .2em 0; }
.narrow { display: none; } .words { columns: 2; column-gap: 40px; } section { break-inside: avoid; }
.words section:first-child h2 { margin-top: 0; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; margin: .3em 0 1em; }
caption { text-align: left; font-weight: bold; white-space: nowrap; padding: .3em 0; }
th, td { padding: 2px 14px 2px 0; text-align: right; } th:first-child { text-align: left; font-weight: normal; }
tbody th, td, code { white-space: nowrap; } code { font: inherit; }
thead th { border-bottom: 1px solid #78828c; }
.scroll { overflow-x: auto; }
@media (max-width: 720px) { body { padding: 6px; } .wide { display: none; } .narrow { display: block; }
  .words { columns: 1; } }
@media print { body { padding: 0; } main { font-size: 13px; } .wide { display: block; } .narrow { display: none; }
  .words { columns: 2; } figure, table, tr { break-inside: avoid; } }
@page { margin: 14mm; }
"""


def response_html(drawing: ResponseDrawing) -> str:
    """Give a whole page that holds everything itself; the same text for the same drawing."""
    title = escape(drawing.title)
    lead = "".join(f'<p class="lead">{escape(words)}</p>\n' for words in findings(drawing))
    sides = "".join(
        f'<p class="quiet">{escape(side.word.capitalize())}: {escape(side.told)}.</p>\n' for side in drawing.sides
    )
    return (
        f'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n{MARK}\n<title>{title}</title>\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<style>{STYLE}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n{lead}{sides}"
        f'{_figures(drawing)}<div class="words">\n{_sections(drawing)}</div>\n'
        f"<h2>The same as numbers</h2>\n{_tables(drawing)}</main>\n</body>\n</html>\n"
    )


def _figures(drawing: ResponseDrawing) -> str:
    """Give the curves and the motions as two figures, so that paper may break between them."""
    figures = []
    for part in PARTS:
        specs = [part_spec(drawing, part, width=width) for width in PLACES]
        wide, narrow = (to_svg(spec) if spec else "" for spec in specs)
        if wide:
            figures.append(
                f'<figure>\n<div class="wide">{wide}</div>\n<div class="narrow">{narrow}</div>\n</figure>\n'
            )
    return "".join(figures)


def _sections(drawing: ResponseDrawing) -> str:
    parts = []
    for section in sections(drawing):
        points = "".join(f"<li>{_unbroken(words)}</li>\n" for words in section.paragraphs)
        parts.append(f"<section>\n<h2>{escape(section.heading)}</h2>\n<ul>\n{points}</ul>\n</section>\n")
    return "".join(parts)


def _unbroken(words: str) -> str:
    """Keep an option of a command together with its value."""
    return re.sub(r"--[a-z-]+ [a-z_]+", lambda found: f"<code>{found.group()}</code>", escape(words))


def _tables(drawing: ResponseDrawing) -> str:
    tables = [_shape_table(drawing), _command_table(drawing), _motion_table(drawing), _run_table(drawing)]
    return "".join(f'<div class="scroll">{table}</div>\n' for table in tables if table)


def _table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in heads)
    body = "\n".join(
        f'<tr><th scope="row">{escape(row[0])}</th>' + "".join(f"<td>{escape(cell)}</td>" for cell in row[1:]) + "</tr>"
        for row in rows
    )
    return (
        f"<table>\n<caption>{escape(caption)}</caption>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{body}\n</tbody>\n</table>"
    )


def _curves(drawing: ResponseDrawing) -> list[tuple[str, DirectionCurve]]:
    """Give every curve with its name, direction by direction."""
    return [
        (_named(drawing, NAMES[way], side.word), curve)
        for way in WAYS
        for side in drawing.sides
        if (curve := side.response.curves.get(way)) is not None
    ]


def _named(drawing: ResponseDrawing, name: str, word: str) -> str:
    return f"{name}, {word}" if len(drawing.sides) == 2 else name


def _shape_table(drawing: ResponseDrawing) -> str:
    other = the_other(drawing.definition)
    heads = (
        "direction", "deadband", "full at", "by the other meaning", "gain", "worth at the dial", "dial at bottom",
        "dial at top",
    )  # fmt: skip
    rows = [
        (
            name, percent(curve.deadband), percent(curve.throw),
            f"{rounded(throw_number(curve.throw, definition=other, deadband=curve.deadband))}%", rounded(curve.gain),
            *("" if value is None else rounded(value) for value in (curve.full, curve.bottom, curve.top)),
        )
        for name, curve in _curves(drawing)
    ]  # fmt: skip
    return _table("Shape of the curves; worth in the chair's own scale", heads, rows) if rows else ""


def _command_table(drawing: ResponseDrawing) -> str:
    curves = _curves(drawing)
    heads = ("travel, %", *(name for name, _ in curves))
    rows = [
        (number(travel), *(number(round(100 * curve.share(travel / 100), 1)) for _, curve in curves))
        for travel in DEFLECTIONS
    ]
    return _table("Command, % of full", heads, rows) if curves else ""


def _motion_table(drawing: ResponseDrawing) -> str:
    rows = []
    for motion in MOTIONS:
        unit = "m, s" if drawing.is_in_metres(motion) else "own scale"
        for side in drawing.sides:
            ramp = drawing.ramp(side, motion)
            if ramp is None:
                continue
            values = (
                ramp.speed, ramp.rise, ramp.fall, ramp.time_to_speed, ramp.distance_to_speed, ramp.stopping_time,
                ramp.stopping_distance,
            )  # fmt: skip
            rows.append((_named(drawing, NAMES[motion], side.word), unit, *map(rounded, values)))
    heads = (
        "motion", "units", "speed", "acceleration", "deceleration", "time to speed", "distance to speed",
        "stopping time", "stopping distance",
    )  # fmt: skip
    caption = "Motion of the model; in the chair's own scale, time is the model's clock, not seconds"
    return _table(caption, heads, rows) if rows else ""


def _run_table(drawing: ResponseDrawing) -> str:
    if drawing.overlay is None:
        return ""
    run: RunMeasure = drawing.overlay.measured
    values = {
        "top speed, m/s": run.top_speed_m_s,
        f"time to {run.share:.0%} of it, s": run.time_to_share_s,
        f"distance to {run.share:.0%} of it, m": run.distance_to_share_m,
        "acceleration, m/s²": run.acceleration_m_s2,
        "stopping time, s": run.stopping_time_s,
        "stopping distance, m": run.stopping_distance_m,
        "deceleration, m/s²": run.deceleration_m_s2,
    }
    rows = [(name, "not shown" if value is None else f"{value:.2f}") for name, value in values.items()]
    return _table(f"Measured: {drawing.overlay.told}", ("quantity", "value"), rows)
