"""All changes of a season, each beside the smallest change that would have mattered for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from rampbook.charts import theme
from rampbook.charts.effect_picture import SCHEMA
from rampbook.charts.marks import (
    Axis,
    Layer,
    Row,
    boxes,
    diamonds,
    down,
    layer,
    lines_of_text,
    panel,
    pixels,
    rules,
    text,
)
from rampbook.charts.text_fit import unbroken, wrap
from rampbook.charts.ticks import number, round_ticks
from rampbook.charts.words import effect_words, on_link
from rampbook.evidence.finding import Finding
from rampbook.evidence.rungs import NOTED

if TYPE_CHECKING:
    import altair as alt

SIZE = 13.0
LEADING = 17.0
# An interval that reaches farther than so many smallest worthwhile changes is cut with an arrow.
FARTHEST = 8.0
AXIS_WORDS = ("← worse", "better →")
UNIT = "in steps of the smallest change that matters, each change on its own scale"


@dataclass(frozen=True, slots=True, kw_only=True)
class ForestRow:
    """One change: its gain with its interval in smallest worthwhile changes, above 0 is better."""

    name: str
    said: str
    gain: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    total: float
    name: float
    plot: tuple[float, float]
    said: tuple[float, float]
    stacked: bool


_COLUMNS = {
    "wide": _Columns(total=1020, name=330, plot=(350, 690), said=(710, 310), stacked=False),
    "narrow": _Columns(total=340, name=340, plot=(8, 332), said=(0, 340), stacked=True),
}


def forest_of_changes(
    findings: Sequence[Finding], *, width: Literal["wide", "narrow"] = "wide", title: str = "All changes"
) -> alt.VConcatChart:
    """Give one row a change, the best first, with verdict and rung in words, as an Altair chart."""
    from rampbook.charts.as_altair import Picture

    return Picture(**forest_spec(findings, width=width, title=title))


def forest_spec(
    findings: Sequence[Finding], *, width: Literal["wide", "narrow"] = "wide", title: str = "All changes"
) -> dict[str, Any]:
    """Give the same as a Vega-Lite specification."""
    columns = _COLUMNS[width]
    rows = forest_rows(findings)
    axis = _axis(rows, columns)
    heading = wrap(title, columns.total, 17, bold=True)
    head = panel(
        [lines_of_text(heading, name="title", x=0, top=0, leading=23, fontSize=17, fontWeight="bold")],
        name="forest header",
        width=columns.total,
        height=23 * len(heading) + 10,
    )
    return {
        "$schema": SCHEMA,
        "description": forest_alt_text(rows, title),
        "background": theme.PAPER,
        "padding": theme.MARGIN,
        "config": theme.config(),
        **down([head, _rows_panel(rows, axis, columns), _axis_panel(axis, columns)]),
    }


def forest_rows(findings: Sequence[Finding]) -> list[ForestRow]:
    """Give what is drawn, the largest gain first, those without an estimate last."""
    rows = [_row(finding) for finding in findings]
    return sorted(rows, key=lambda row: (row.gain is None, -(row.gain or 0.0), row.name))


def forest_alt_text(rows: Sequence[ForestRow], title: str) -> str:
    """Say the picture in words, row by row."""
    return " ".join([f"{title}, best first.", *(f"{row.name}: {row.said}." for row in rows)])


def _row(finding: Finding) -> ForestRow:
    drawing = finding.drawing
    changed = drawing.changes[0].text if drawing.changes else finding.change
    name = f"{drawing.title}: {changed}" if changed else drawing.title
    # Without a bar or a figure: beside sound rows a number would be read as if it were one.
    if finding.rung == NOTED:
        said = "noted only: what the setting did cannot be told"
        return ForestRow(name=name, said=said, gain=None, low=None, high=None)
    said = f"{effect_words(finding)}; {finding.verdict}; {finding.rung}"
    if finding.estimate is None or not finding.worthwhile or not on_link(finding.kind, finding.worthwhile):
        reason = "" if finding.estimate is None else "; no smallest change that matters is known"
        return ForestRow(name=name, said=said + reason, gain=None, low=None, high=None)
    step = abs(on_link(finding.kind, finding.worthwhile)) * (1 if finding.better == "higher" else -1)
    gain = on_link(finding.kind, finding.estimate) / step
    ends = [on_link(finding.kind, end) / step for end in (finding.low, finding.high) if end is not None]
    low, high = (min(ends), max(ends)) if len(ends) == 2 else (None, None)
    return ForestRow(name=name, said=said, gain=gain, low=low, high=high)


def _axis(rows: Sequence[ForestRow], columns: _Columns) -> Axis:
    seen = [end for row in rows for end in (row.gain, row.low, row.high) if end is not None]
    reach = min(max([1.5, *(abs(end) for end in seen)]) * 1.08, FARTHEST)
    return Axis(low=-reach, high=reach, start=columns.plot[0], end=columns.plot[1])


def _rows_panel(rows: Sequence[ForestRow], axis: Axis, columns: _Columns) -> dict[str, Any]:
    words: list[Row] = []
    said: list[Row] = []
    bars: list[Row] = []
    marks: list[Row] = []
    arrows: list[Row] = []
    bands: list[tuple[float, float]] = []
    top = 0.0
    for row in rows:
        names = wrap(unbroken(row.name), columns.name, SIZE, bold=True)
        verdict = wrap(row.said, columns.said[1], SIZE)
        names_top, bar_top, said_top, height = _heights(len(names), len(verdict), stacked=columns.stacked)
        words += [{"px": 0, "py": top + names_top + LEADING * (i + 0.5), "text": line} for i, line in enumerate(names)]
        said += [
            {"px": columns.said[0], "py": top + said_top + LEADING * (i + 0.5), "text": line}
            for i, line in enumerate(verdict)
        ]
        middle = top + bar_top + LEADING / 2
        bars += _bar(row, axis, middle)
        arrows += _arrows(row, axis, middle)
        if row.gain is not None and axis.kept(row.gain) == row.gain:
            marks.append({"px": axis.at(row.gain), "py": middle})
        bands.append((top + bar_top - 3, top + bar_top + LEADING + 3) if columns.stacked else (top, top + height))
        top += height
    layers = [
        *_ground(axis, bands),
        boxes(bars, name="intervals", color=theme.NEW),
        _turned(arrows),
        diamonds(marks, name="estimates", size=130),
        text(words, name="changes", fontSize=SIZE, fontWeight="bold"),
        text(said, name="verdicts", fontSize=SIZE),
    ]
    return panel(layers, name="forest", width=columns.total, height=max(top, LEADING))


def _heights(names: int, said: int, *, stacked: bool) -> tuple[float, float, float, float]:
    """Give where the name, the bar and the verdict of a row begin, and how high the row is."""
    if stacked:
        return 0.0, LEADING * names + 4, LEADING * (names + 1) + 8, LEADING * (names + said + 1) + 24
    height = LEADING * max(names, said, 1) + 12
    return (height - LEADING * names) / 2, (height - LEADING) / 2, (height - LEADING * said) / 2, height


def _ground(axis: Axis, bands: list[tuple[float, float]]) -> list[Layer]:
    zone = [{"px": axis.at(-1.0), "px2": axis.at(1.0), "py": top, "py2": bottom} for top, bottom in bands]
    zero = [{"px": axis.at(0.0), "px2": axis.at(0.0), "py": top, "py2": bottom} for top, bottom in bands]
    return [
        boxes(zone, name="too small to matter", color=theme.TOO_SMALL),
        rules(zero, name="no effect", color=theme.EVENT_RULE, strokeDash=[3, 3]),
    ]


def _bar(row: ForestRow, axis: Axis, middle: float) -> list[Row]:
    if row.low is None or row.high is None:
        return []
    return [
        {
            "px": axis.at(axis.kept(row.low)),
            "px2": axis.at(axis.kept(row.high)),
            "py": middle - 4,
            "py2": middle + 4,
        }
    ]


def _arrows(row: ForestRow, axis: Axis, middle: float) -> list[Row]:
    ends = []
    if row.low is not None and row.low < axis.low:
        ends.append({"px": axis.start + 6, "py": middle, "turn": -90})
    if row.high is not None and row.high > axis.high:
        ends.append({"px": axis.end - 6, "py": middle, "turn": 90})
    return ends


def _turned(rows: list[Row]) -> Layer:
    turn = {"angle": {"field": "turn", "type": "quantitative", "scale": None}}
    return layer(
        rows,
        "point",
        name="run on",
        encoding={"x": pixels("px"), "y": pixels("py")},
        extra=turn,
        shape="triangle",
        filled=True,
        size=160,
        color=theme.NEW_INK,
        opacity=1,
    )


def _axis_panel(axis: Axis, columns: _Columns) -> dict[str, Any]:
    ticks = [v for v in round_ticks(axis.low, axis.high, at_most=7) if v == int(v)]
    middle = axis.at(0.0)
    places = [{"px": axis.at(v), "py": 16, "text": number(v)} for v in ticks]
    lines: list[Row] = [{"px": axis.start, "px2": axis.end, "py": 0, "py2": 0}]
    lines += [{"px": row["px"], "px2": row["px"], "py": 0, "py2": 5} for row in places]
    notes = wrap(f"Grey: too small to matter (less than 1 step). Numbers {UNIT}.", columns.total, SIZE - 1)
    layers = [
        rules(lines, name="axis", color=theme.EVENT_RULE),
        text(places, name="ticks", fontSize=SIZE - 1, align="center"),
        text(
            [{"px": middle - 20, "py": 36, "text": AXIS_WORDS[0]}],
            name="worse",
            fontSize=SIZE,
            fontWeight="bold",
            align="right",
        ),
        text(
            [{"px": middle + 20, "py": 36, "text": AXIS_WORDS[1]}],
            name="better",
            fontSize=SIZE,
            fontWeight="bold",
        ),
        lines_of_text(notes, name="notes", x=0, top=50, leading=16, fontSize=SIZE - 1, color=theme.QUIET_INK),
    ]
    return panel(layers, name="forest axis", width=columns.total, height=52 + 16 * len(notes))
