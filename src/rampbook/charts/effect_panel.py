"""The effect with its interval on its own scale, beside the zone that is too small to matter."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from rampbook.charts import theme
from rampbook.charts.marks import (
    Axis,
    Layer,
    Row,
    boxes,
    diamonds,
    layer,
    lines_of_text,
    panel,
    pixels,
    rules,
    text,
    upright,
)
from rampbook.charts.text_fit import text_width, wrap
from rampbook.charts.theme import Layout
from rampbook.charts.ticks import number, round_ticks
from rampbook.charts.words import direction_words, effect_words, interval_words, on_link, zone_words
from rampbook.evidence.finding import Finding
from rampbook.evidence.sentences import amount
from rampbook.units import Kind

BAR = 46.0
# An interval that runs farther than this is cut with an arrow, or all that matters would shrink to a line.
FARTHEST_RATIO = 6.0
FARTHEST_POINTS = 6.0
FARTHEST_EVER = 100.0
ZONE_NAME = "too small to matter"
# Steps of the percent scale, the finest that fits is taken; and the few percents named where no even step
# fits.
_STEPS = (1, 2, 5, 10, 20, 50)
_UNEVEN = (0, -50, 100, -80, 300, -20, 50, -90, -98, 900, 3900)
MOST_TICKS = 7
TIMES = "\N{MULTIPLICATION SIGN}"


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnScale:
    """What the panel draws, on the link scale; None for parts that cannot be had."""

    estimate: float | None
    low: float | None
    high: float | None
    zone: float | None
    axis: Axis


def effect_panel(finding: Finding, layout: Layout) -> dict[str, Any]:
    """Draw the panel; without an estimate it says so in words."""
    width, leading = layout.side, layout.small * 1.3
    layers, top = _heading(finding, layout)
    if finding.estimate is None:
        return panel(layers, name="effect", width=width, height=top)
    scale = own_scale(finding, layout)
    named, top = _zone_name(scale, layout, top)
    directions, end = _directions(finding, layout, top + BAR + 10 + leading)
    notes = [line for note in _notes(finding, scale) for line in wrap(note, width, layout.small)]
    style: dict[str, Any] = {"leading": leading, "fontSize": layout.small, "color": theme.QUIET_INK}
    layers += [
        *named,
        *_bar(scale, top),
        *_own_axis(finding.kind, scale, layout, top + BAR),
        *directions,
        lines_of_text(notes, name="effect notes", x=0, top=end, **style),
    ]
    return panel(layers, name="effect", width=width, height=end + leading * len(notes) + 4)


def _heading(finding: Finding, layout: Layout) -> tuple[list[Layer], float]:
    """Say the estimate and its interval; give also where the panel goes on."""
    said = wrap(effect_words(finding), layout.side, layout.sentence, bold=True)
    beneath = wrap(interval_words(finding), layout.side, layout.body)
    first, second = layout.sentence * 1.3, layout.body * 1.3
    big: dict[str, Any] = {"fontSize": layout.sentence, "fontWeight": "bold"}
    top = first * len(said)
    return [
        lines_of_text(said, name="estimate words", x=0, top=0, leading=first, **big),
        lines_of_text(beneath, name="interval words", x=0, top=top, leading=second, fontSize=layout.body),
    ], top + second * len(beneath) + 6


def own_scale(finding: Finding, layout: Layout) -> OwnScale:
    """Choose the ends of the scale: all that is to be seen, no effect always among it."""
    kind = finding.kind

    def link(value: float | None) -> float | None:
        return None if value is None else on_link(kind, value)

    estimate, low, high = link(finding.estimate), link(finding.low), link(finding.high)
    zone = None if finding.worthwhile is None else abs(on_link(kind, finding.worthwhile))
    farthest = _farthest(kind, estimate or 0.0, low, high)
    seen = [0.0, *(v for v in (estimate, low, high) if v is not None), *((zone, -zone) if zone else ())]
    first, last = max(min(seen), -farthest), min(max(seen), farthest)
    air = 0.12 * ((last - first) or 0.1)
    axis = Axis(low=first - air, high=last + air, start=12.0, end=layout.side - 12.0)
    return OwnScale(estimate=estimate, low=low, high=high, zone=zone, axis=axis)


def _farthest(kind: Kind, estimate: float, low: float | None, high: float | None) -> float:
    """Give how far the scale may reach: usually a fixed way, farther when the effect itself lies beyond."""
    if kind.scale == "points":
        return max(FARTHEST_POINTS, abs(estimate) * 1.1)
    nearest = max(low or 0.0, -(high or 0.0), 0.0)
    wanted = max(abs(estimate) * 1.1, nearest * 1.3)
    return max(math.log(FARTHEST_RATIO), min(wanted, math.log(FARTHEST_EVER)))


def _zone_name(scale: OwnScale, layout: Layout, top: float) -> tuple[list[Layer], float]:
    """Name the zone just above itself; give also where the panel goes on."""
    if not scale.zone:
        return [], top
    half = text_width(ZONE_NAME, layout.small) / 2
    middle = min(max(scale.axis.at(0.0), half), layout.side - half)
    row = {"px": middle, "py": top + layout.small * 0.75, "text": ZONE_NAME}
    layer_of_name = text([row], name="zone name", align="center", fontSize=layout.small, color=theme.QUIET_INK)
    return [layer_of_name], top + layout.small * 1.5


def _bar(scale: OwnScale, top: float) -> list[Layer]:
    axis, middle = scale.axis, top + BAR / 2
    zone = [_between(axis, -scale.zone, scale.zone, top, top + BAR)] if scale.zone else []
    zero = upright([axis.at(0.0)], top, top + BAR)
    has_interval = scale.low is not None and scale.high is not None
    interval = [_between(axis, scale.low or 0.0, scale.high or 0.0, middle - 5, middle + 5)] if has_interval else []
    is_seen = scale.estimate is not None and axis.kept(scale.estimate) == scale.estimate
    estimate = [{"px": axis.at(scale.estimate or 0.0), "py": middle}] if is_seen else []
    return [
        boxes(zone, name="too small to matter", color=theme.TOO_SMALL),
        rules(zero, name="no effect", color=theme.EVENT_RULE, strokeDash=[3, 3]),
        boxes(interval, name="interval bar", color=theme.NEW),
        _arrows(scale, middle),
        diamonds(estimate, name="estimate", size=190),
    ]


def _between(axis: Axis, low: float, high: float, top: float, bottom: float) -> Row:
    return {"px": axis.at(axis.kept(low)), "px2": axis.at(axis.kept(high)), "py": top, "py2": bottom}


def _arrows(scale: OwnScale, middle: float) -> Layer:
    """Draw an arrowhead where the interval runs on beyond the panel."""
    rows: list[Row] = []
    if scale.low is not None and scale.low < scale.axis.low:
        rows.append({"px": scale.axis.start + 7, "py": middle, "turn": -90})
    if scale.high is not None and scale.high > scale.axis.high:
        rows.append({"px": scale.axis.end - 7, "py": middle, "turn": 90})
    encoding = {
        "x": pixels("px"),
        "y": pixels("py"),
        "angle": {"field": "turn", "type": "quantitative", "scale": None},
    }
    return layer(
        rows,
        "point",
        name="runs on",
        encoding=encoding,
        shape="triangle",
        filled=True,
        size=230,
        color=theme.NEW_INK,
        opacity=1,
    )


def _own_axis(kind: Kind, scale: OwnScale, layout: Layout, top: float) -> list[Layer]:
    axis = scale.axis
    rows = [{"px": axis.at(place), "text": label} for place, label in effect_ticks(kind, axis, layout.small)]
    marks = [{"px": row["px"], "px2": row["px"], "py": top, "py2": top + 5} for row in rows]
    line = {"px": axis.start, "px2": axis.end, "py": top, "py2": top}
    names = [{**row, "py": top + 8 + layout.small * 0.65} for row in rows]
    return [
        rules([line, *marks], name="effect axis", color=theme.EVENT_RULE),
        text(names, name="effect ticks", align="center", fontSize=layout.small),
    ]


def effect_ticks(kind: Kind, axis: Axis, size: float) -> list[tuple[float, str]]:
    """Choose round effects to name, evenly stepped where that fits; no two so near that words touch."""
    if kind.scale == "points":
        return [(v, _signed(v)) for v in round_ticks(axis.low, axis.high, at_most=MOST_TICKS)]
    if kind.name == "success":
        ratios = [1.0, *(r for t in (2, 4, 3, 1.5, 5, 1.2, 1.1) for r in (t, 1 / t))]
        return _those_that_fit([(math.log(r), f"{TIMES}{r:.2g}") for r in ratios], axis, size)
    least, most = 100 * math.expm1(axis.low), 100 * math.expm1(axis.high)
    for step in _STEPS:
        percents = [step * i for i in range(math.ceil(least / step), math.floor(most / step) + 1)]
        even = [(math.log1p(p / 100), f"{_signed(p)}%") for p in percents]
        if 2 <= len(even) <= MOST_TICKS and len(_those_that_fit(even, axis, size)) == len(even):
            return even
    return _those_that_fit([(math.log1p(p / 100), f"{_signed(p)}%") for p in _UNEVEN], axis, size)


def _those_that_fit(wanted: list[tuple[float, str]], axis: Axis, size: float) -> list[tuple[float, str]]:
    """Keep, in the order of wanting, the ticks that are on the axis and do not touch one kept before."""
    kept: list[tuple[float, str]] = []
    for place, label in wanted:
        half = text_width(label, size) / 2
        is_inside = axis.low <= place <= axis.high and half <= axis.at(place) <= axis.end + axis.start - half
        near = (abs(axis.at(place) - axis.at(other)) < half + text_width(said, size) / 2 + 10 for other, said in kept)
        if is_inside and not any(near):
            kept.append((place, label))
    return sorted(kept)


def _signed(value: float) -> str:
    return f"+{number(value)}" if value > 0 else number(value)


def _directions(finding: Finding, layout: Layout, top: float) -> tuple[list[Layer], float]:
    """Name both directions under the axis, and which of them is better; give also where the panel goes on."""
    less, more = direction_words(finding.kind)
    is_less_better = finding.better == "lower"
    left = f"← {less}{' (better)' if is_less_better else ''}"
    right = f"{more}{'' if is_less_better else ' (better)'} →"
    size, width = layout.small, layout.side
    fits = text_width(left, size, bold=True) + text_width(right, size, bold=True) + 12 <= width
    second = top if fits else top + size * 1.3
    row = size * 0.65
    return [
        text([{"px": 0, "py": top + row, "text": left}], name="less", fontSize=size, fontWeight="bold"),
        text(
            [{"px": width, "py": second + row, "text": right}],
            name="more",
            fontSize=size,
            fontWeight="bold",
            align="right",
        ),
    ], second + size * 1.3 + 4


def _notes(finding: Finding, scale: OwnScale) -> list[str]:
    notes = [f"{zone_words(finding)}."]
    for end, beyond in ((scale.low, True), (scale.high, False)):
        if end is not None and (end < scale.axis.low if beyond else end > scale.axis.high):
            notes.append(f"Arrow: the interval runs on, to {amount(finding.kind, end)}.")
    if scale.estimate is not None and scale.axis.kept(scale.estimate) != scale.estimate:
        notes.append("The estimate itself lies beyond the scale.")
    return notes
