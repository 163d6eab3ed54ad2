"""The small plots of a response: command against travel, and speed against time, each with its key in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Literal

from rampbook.charts import theme
from rampbook.charts.marks import (
    Axis,
    Layer,
    Row,
    boxes,
    layer,
    level,
    lines_of_text,
    panel,
    pixels,
    rules,
    text,
    upright,
)
from rampbook.charts.text_fit import text_width, wrap
from rampbook.charts.theme import Layout
from rampbook.charts.ticks import number, round_ticks, thin

Role = Literal["before", "after", "measured", "dial"]
Points = Sequence[tuple[float, float]]

# Before: dark, dashed, round corners. After: light, whole, square corners. Measured: thin, grey, no corners. They
# differ in line and shape, so that grey print and every kind of colour sight tell them apart. Dial: thin, dotted.
COLOURS: dict[Role, str] = {
    "before": theme.OLD, "after": theme.NEW, "measured": theme.UNTOUCHED, "dial": theme.EVENT_RULE,
}  # fmt: skip
INKS: dict[Role, str] = {
    "before": theme.OLD, "after": theme.NEW_INK, "measured": theme.UNTOUCHED, "dial": theme.QUIET_INK,
}  # fmt: skip
WIDTHS: dict[Role, float] = {"before": 2.0, "after": 3.2, "measured": 1.1, "dial": 1.3}
DASHES: dict[Role, list[float]] = {"before": [6, 3], "after": [1, 0], "measured": [1, 0], "dial": [1.5, 3]}
SHAPES: dict[Role, str] = {"before": "circle", "after": "square"}
# What is drawn later lies on top: the dashes stay visible where two lines are one.
ORDER: tuple[Role, ...] = ("dial", "measured", "after", "before")
SWATCH = 30.0
# Two lines closer than this in pixels have no room for a word at each; the key above says which is which.
_ROOM = 26.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallPlot:
    """One small plot.

    Attributes
    ----------
    name : str
        Name of its layers.
    title : str
        What it is of.
    key : tuple of (roles, text)
        One line of the key for each curve, or for several that are one.
    curves : mapping of role to points
        Each curve by its corners, in values.
    words : mapping of role to str
        The word that may stand at a curve.
    x_end, y_end : float
        Where the axes end; both begin at 0.
    x_title, y_title : str
        Titles with units.
    marked_to : float
        Words may stand at the curves up to this value of x.
    """

    name: str
    title: str
    key: tuple[tuple[tuple[Role, ...], str], ...]
    curves: Mapping[Role, Points]
    words: Mapping[Role, str] = field(default_factory=dict)
    x_end: float
    y_end: float
    x_title: str
    y_title: str
    marked_to: float


def row_of_plots(plots: Sequence[SmallPlot], layout: Layout, *, width: float, height: float) -> list[dict[str, Any]]:
    """Give the panels of one row, their plots on one level however long their keys are."""
    head = max(_head(plot, layout, width) for plot in plots)
    return [_small_panel(plot, layout, width=width, head=head, height=height) for plot in plots]


def _head(plot: SmallPlot, layout: Layout, width: float) -> float:
    leading = layout.small * 1.35
    rows = sum(len(wrap(words, width - SWATCH - 6, layout.small)) for _, words in plot.key)
    return layout.body * 1.5 + leading * (rows + len(wrap(plot.y_title, width, layout.small))) + 14


def _small_panel(plot: SmallPlot, layout: Layout, *, width: float, head: float, height: float) -> dict[str, Any]:
    small, leading = layout.small, layout.small * 1.35
    ticks = round_ticks(0, plot.y_end, at_most=5)
    left = max(text_width(number(tick), small) for tick in ticks) + 8
    x = Axis(low=0, high=plot.x_end, start=left, end=width - 10)
    y = Axis(low=0, high=plot.y_end, start=head + height, end=head)
    y_title = wrap(plot.y_title, width, small)
    x_title = wrap(plot.x_title, width, small)
    layers = [
        lines_of_text(
            [plot.title], name="title", x=0, top=0, leading=layout.body * 1.4, fontSize=layout.body, fontWeight="bold"
        ),
        *_key(plot, layout, width),
        lines_of_text(
            y_title, name="value title", x=0, top=head - 8 - leading * len(y_title), leading=leading, fontSize=small,
            color=theme.QUIET_INK,
        ),
        *_ground(x, y, ticks, small),
        *_curves(plot, x, y),
        *_words_at_curves(plot, x, y, small),
        lines_of_text(
            x_title, name="travel title", x=0, top=head + height + 8 + leading, leading=leading, fontSize=small,
            color=theme.QUIET_INK,
        ),
    ]  # fmt: skip
    return panel(layers, name=plot.name, width=width, height=head + height + 22 + leading * (1 + len(x_title)))


def _key(plot: SmallPlot, layout: Layout, width: float) -> list[Layer]:
    """Draw a sample of each line with what it says; a line of the key for two shows both."""
    small, leading = layout.small, layout.small * 1.35
    top = layout.body * 1.5
    layers = []
    for number_, (roles, words) in enumerate(plot.key):
        lines = wrap(words, width - SWATCH - 6, small)
        for role in sorted(roles, key=ORDER.index):
            middle = top + leading / 2
            layers += _line([(5.0, middle), (SWATCH - 4, middle)], role, name=f"key {number_} {role}")
            layers += _corners([((SWATCH + 1) / 2, middle)], role, name=f"key corner {number_} {role}")
        ink = INKS[roles[0]] if len(roles) == 1 else theme.INK
        layers.append(
            lines_of_text(
                lines, name=f"key words {number_}", x=SWATCH, top=top, leading=leading, fontSize=small, color=ink
            )
        )
        top += leading * len(lines)
    return layers


def _ground(x: Axis, y: Axis, ticks: list[float], small: float) -> list[Layer]:
    steps = round_ticks(0, x.high, at_most=4)
    places, names = [x.at(step) for step in steps], [number(step) for step in steps]
    shown = thin(places, names, small)
    below = y.start + 8 + small * 0.55
    return [
        rules(level([y.at(tick) for tick in ticks], x.start, x.end), name="grid", color=theme.RULE),
        rules(upright([x.at(step) for step in steps], y.start, y.start + 5), name="ticks", color=theme.EVENT_RULE),
        rules(level([y.start], x.start, x.end), name="ground", color=theme.EVENT_RULE),
        text(
            [{"px": x.start - 6, "py": y.at(tick), "text": number(tick)} for tick in ticks],
            name="values", fontSize=small, align="right",
        ),
        text(
            [{"px": _inside(places[i], names[i], x, small), "py": below, "text": names[i]} for i in shown],
            name="steps", fontSize=small, align="center",
        ),
    ]  # fmt: skip


def _inside(place: float, words: str, x: Axis, small: float) -> float:
    """Keep a centred label inside the panel."""
    return min(place, x.end + 10 - text_width(words, small) / 2)


def _curves(plot: SmallPlot, x: Axis, y: Axis) -> list[Layer]:
    layers: list[Layer] = []
    for role in ORDER:
        points = [(x.at(a), y.at(b)) for a, b in plot.curves.get(role, ()) if a <= x.high * (1 + 1e-9)]
        layers += _line(points, role, name=f"{role} line")
        # The first and the last corner are the axis and the edge: nothing happens there.
        layers += _corners(points[1:-1], role, name=f"{role} corners")
    return layers


def _line(points: Points, role: Role, *, name: str) -> list[Layer]:
    rows: list[Row] = [{"px": a, "py": b, "place": i} for i, (a, b) in enumerate(points)]
    encoding = {"x": pixels("px"), "y": pixels("py"), "order": {"field": "place", "type": "quantitative"}}
    return [
        layer(
            rows, "line", name=name, encoding=encoding, color=COLOURS[role], strokeWidth=WIDTHS[role],
            strokeDash=DASHES[role], strokeJoin="round", interpolate="linear",
        )
    ]  # fmt: skip


def _corners(points: Points, role: Role, *, name: str) -> list[Layer]:
    if role not in SHAPES:
        return []
    rows: list[Row] = [{"px": a, "py": b} for a, b in points]
    encoding = {"x": pixels("px"), "y": pixels("py")}
    style: dict[str, Any] = {"shape": SHAPES[role], "filled": True, "opacity": 1, "stroke": theme.PAPER}
    return [layer(rows, "point", name=name, encoding=encoding, size=52, color=COLOURS[role], strokeWidth=1, **style)]


def _words_at_curves(plot: SmallPlot, x: Axis, y: Axis, small: float) -> list[Layer]:
    """Put a word at each of two rising curves where they are farthest apart: above the upper one, below the lower."""
    if len(plot.words) != 2:
        return []
    ones = {role: [(x.at(a), y.at(b)) for a, b in plot.curves[role]] for role in plot.words}
    places = sorted({px for points in ones.values() for px, _ in points} | {x.start + i * 4 for i in range(200)})
    first, second = ones
    gaps = [
        (abs(_height_at(ones[first], px) - _height_at(ones[second], px)), px)
        for px in places
        if px <= x.at(plot.marked_to)
    ]
    gap = max(gap for gap, _ in gaps)
    # The first such place: from there on the upper curve may run level, and a word beside it would lie on it.
    px = next(place for one, place in gaps if one >= gap - 1e-6)
    if gap < _ROOM:
        return []
    upper, lower = sorted(ones, key=lambda role: _height_at(ones[role], px))
    above = _clear(plot.words[upper], px, _height_at(ones[upper], px), x, small, side=-1)
    below = _clear(plot.words[lower], px, _height_at(ones[lower], px), x, small, side=1)
    placed = [(role, row) for role, row in ((upper, above), (lower, below)) if row is not None]
    # Clears the grid and the dial's range behind the words, never a curve: both stand beside theirs.
    clear = [_behind(plot.words[role], row, small, side=-1 if row is above else 1) for role, row in placed]
    return [
        boxes(clear, name="behind words", color=theme.PAPER),
        *(
            text([{**row, "text": plot.words[role]}], name=f"{role} word", fontSize=small, fontWeight="bold",
                 align="right" if row is above else "left", color=INKS[role])
            for role, row in placed
        ),
    ]  # fmt: skip


def _behind(words: str, row: Row, small: float, *, side: int) -> Row:
    ends = sorted((row["px"], row["px"] + side * text_width(words, small, bold=True)))
    return {"px": ends[0], "px2": ends[1], "py": row["py"] - small * 0.55, "py2": row["py"] + small * 0.55}


def _clear(words: str, px: float, py: float, x: Axis, small: float, *, side: int) -> Row | None:
    """Give the place beside a rising curve where its word stands clear; None where it would leave the plot."""
    width = text_width(words, small, bold=True)
    place = px + side * 3
    reach = place + side * width
    if reach < x.start + 2 or reach > x.end + 8:
        return None
    return {"px": place, "py": py + side * (small * 0.55 + 4)}


def _height_at(points: Points, px: float) -> float:
    """Give the pixel height of a line at a pixel place; the end's height beyond its ends."""
    if px <= points[0][0]:
        return points[0][1]
    for (a, at_a), (b, at_b) in pairwise(points):
        if a <= px <= b and b > a:
            return at_a + (at_b - at_a) * (px - a) / (b - a)
    return points[-1][1]
