"""The picture of a response: each direction's command, each motion in time, before and after, and a run over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

from rampbook.charts import theme
from rampbook.charts.effect_picture import SCHEMA
from rampbook.charts.marks import across, blank, down, lines_of_text, panel
from rampbook.charts.response_drawing import ResponseDrawing
from rampbook.charts.response_panels import Points, Role, SmallPlot, row_of_plots
from rampbook.charts.response_words import (
    NAMES,
    PARTS,
    Part,
    alt_text,
    curve_words,
    findings,
    part_alt_text,
    ramp_words,
    rounded,
    sections,
)
from rampbook.charts.text_fit import wrap
from rampbook.charts.theme import LAYOUTS, Layout, Width
from rampbook.charts.words_panel import words_panel
from rampbook.domain.motion import Ramp
from rampbook.domain.response import MOTIONS

if TYPE_CHECKING:
    import altair as alt

ROLES: tuple[Role, Role] = ("before", "after")
PAIRS = (("forward", "reverse"), ("left", "right"))
MOST_POINTS = 400
HEIGHT = 155.0
# A page is read on a tablet, where a picture of 1040 px would shrink until its letters are too small.
Place = Width | Literal["page"]
PLACES: dict[Place, Layout] = {
    "wide": LAYOUTS["wide"], "page": replace(LAYOUTS["wide"], total=774), "half": LAYOUTS["half"],
    "narrow": LAYOUTS["narrow"],
}  # fmt: skip
_COLUMNS: dict[Place, tuple[int, int]] = {"wide": (4, 3), "page": (2, 3), "half": (2, 1), "narrow": (1, 1)}
_GAP = 24.0


def response_picture(drawing: ResponseDrawing, *, width: Place = "wide") -> alt.VConcatChart:
    """Give the picture as an Altair chart.

    Parameters
    ----------
    drawing : ResponseDrawing
        What is drawn.
    width : {"wide", "page", "half", "narrow"}
        For a page across (1040 px), a tablet or an upright page (794 px), half of one (440 px), a telephone (360 px).
    """
    from rampbook.charts.as_altair import Picture

    return Picture(**response_spec(drawing, width=width))


def response_spec(drawing: ResponseDrawing, *, width: Place = "wide") -> dict[str, Any]:
    """Give the same picture as a Vega-Lite specification, which is plain data."""
    layout = PLACES[width]
    plots = [part for name in PARTS if (part := _plots(drawing, name, width))]
    body = [_header(drawing, layout), *(one for part in plots for one in part), *_words(drawing, layout)]
    return _whole(body, alt_text(drawing))


def part_spec(drawing: ResponseDrawing, part: Part, *, width: Place) -> dict[str, Any] | None:
    """Give the curves or the motions alone, for a page that prints the words itself; None when there are none."""
    body = _plots(drawing, part, width)
    return _whole(body, part_alt_text(drawing, part)) if body else None


def _plots(drawing: ResponseDrawing, part: Part, width: Place) -> list[dict[str, Any]]:
    plots = curve_plots(drawing) if part == "curves" else motion_plots(drawing)
    return _grid(plots, PLACES[width], columns=_COLUMNS[width][PARTS.index(part)], height=HEIGHT)


def _whole(body: list[dict[str, Any]], description: str) -> dict[str, Any]:
    return {
        "$schema": SCHEMA,
        "description": description,
        "background": theme.PAPER,
        "padding": theme.MARGIN,
        "config": theme.config(),
        **down(body),
    }


def curve_plots(drawing: ResponseDrawing) -> list[SmallPlot]:
    """Give the plots of command against travel; the two directions of a pair share one scale."""
    plots = []
    for pair in PAIRS:
        ways = [way for way in pair if any(way in side.response.curves for side in drawing.sides)]
        fulls = [
            curve.full for way in ways for side in drawing.sides if (curve := side.response.curves.get(way)) is not None
        ]
        is_scaled = bool(fulls) and all(fulls)
        tops = [curve.top for way in ways if (curve := drawing.sides[-1].response.curves.get(way)) and curve.top]
        end = max(*(full for full in fulls if full), *tops, 0.0) if is_scaled else 100.0
        plots += [_curve_plot(drawing, way, end, is_scaled=is_scaled) for way in ways]
    return plots


def motion_plots(drawing: ResponseDrawing) -> list[SmallPlot]:
    """Give the plots of speed against time: pushed to full, held, and let go; a run that fits none gets its own."""
    plots = [
        _motion_plot(drawing, motion)
        for motion in MOTIONS
        if any(motion in side.response.ramps for side in drawing.sides)
    ]
    run = _run_points(drawing)
    if run and not any("measured" in plot.curves for plot in plots):
        plots.append(_run_plot(run, _run_words(drawing)))
    return plots


def _curve_plot(drawing: ResponseDrawing, way: str, end: float, *, is_scaled: bool) -> SmallPlot:
    curves: dict[Role, Points] = {}
    key: dict[Role, str] = {}
    for role, side in zip(_roles(drawing), drawing.sides, strict=True):
        curve = side.response.curves.get(way)
        if curve is None:
            key[role] = "not on the sheet"
            continue
        worth = (curve.full or 100.0) if is_scaled else 100.0
        curves[role] = [(100 * a, worth * b) for a, b in curve.corners()]
        key[role] = curve_words(curve)
    lines = _key(drawing, key, curves)
    if is_scaled and (range_ := _dial_range(drawing, way)):
        lines = (*lines, (("dial",), range_[0]))
        curves["dial"] = range_[1]
    dial = f" at dial {drawing.sides[-1].response.dial_percent:g}%"
    return SmallPlot(
        name=way, title=NAMES[way], key=lines, curves=curves, words=_words_at(drawing, curves),
        x_end=100.0, y_end=end * 1.1, x_title="joystick travel, %", marked_to=100.0,
        y_title=f"command, chair's own scale{dial}" if is_scaled else "command, % of full",
    )  # fmt: skip


def _dial_range(drawing: ResponseDrawing, way: str) -> tuple[str, Points] | None:
    """Give the last sheet's curve with the dial at its bottom and back with it at its top; None when not known."""
    curve = drawing.sides[-1].response.curves.get(way)
    if curve is None or curve.bottom is None or curve.top is None:
        return None
    corners = [(100 * a, b) for a, b in curve.corners()]
    there = [(a, curve.bottom * b) for a, b in corners]
    back = [(a, curve.top * b) for a, b in reversed(corners)]
    side = f"{drawing.sides[-1].word}, " if len(drawing.sides) == 2 else ""
    return f"{side}dial from bottom to top: full is {rounded(curve.bottom)} to {rounded(curve.top)}", [*there, *back]


def _motion_plot(drawing: ResponseDrawing, motion: str) -> SmallPlot:
    in_metres, in_speed = drawing.is_in_metres(motion), drawing.is_speed_in_metres(motion)
    ramps: dict[Role, Ramp] = {
        role: ramp
        for role, side in zip(_roles(drawing), drawing.sides, strict=True)
        if (ramp := drawing.ramp(side, motion)) is not None
    }
    held = _held(drawing, list(ramps.values()), in_metres=in_metres)
    times = 1.0 if in_metres or drawing.overlay is None or not in_speed else drawing.overlay.speed or 1.0
    curves: dict[Role, Points] = {
        role: [(a, times * b) for a, b in ramp.corners(held=held)] for role, ramp in ramps.items()
    }
    key = {role: ramp_words(ramp, in_metres=in_metres) for role, ramp in ramps.items()}
    lines = _key(drawing, key, curves)
    end = max(a for points in curves.values() for a, _ in points)
    run = _run_points(drawing) if in_metres else _run_level(drawing, motion, end)
    if run:
        lines = (*lines, (("measured",), _run_words(drawing)))
        curves = {**curves, "measured": run}
    ends = [point for points in curves.values() for point in points]
    return SmallPlot(
        name=f"{motion} in time", title=f"{NAMES[motion]}, in time", key=lines, curves=curves,
        words=_words_at(drawing, curves), x_end=max(a for a, _ in ends), y_end=1.1 * max(b for _, b in ends),
        x_title="seconds after full command" if in_metres else "model's clock (speed ÷ rate), not seconds",
        y_title="speed, m/s" if in_speed else "speed, chair's own scale", marked_to=held,
    )  # fmt: skip


def _run_words(drawing: ResponseDrawing) -> str:
    """Name the run in a key: its speed and the dial's position, which may not be the model's."""
    if drawing.overlay is None:
        return ""
    return f"measured: {drawing.overlay.measured.top_speed_m_s:.2f} m/s, dial at {drawing.overlay.dial_percent:g}%"


def _run_plot(run: Points, words: str) -> SmallPlot:
    """Give the plot of a run alone, where no motion of the model is in metres and seconds."""
    return SmallPlot(
        name="measured run", title="Measured run", key=((("measured",), f"{words}; not the model"),),
        curves={"measured": run}, x_end=max(a for a, _ in run), y_end=1.06 * max(b for _, b in run),
        x_title="seconds after it began to move", y_title="speed, m/s", marked_to=0.0,
    )  # fmt: skip


def _held(drawing: ResponseDrawing, ramps: Sequence[Ramp], *, in_metres: bool) -> float:
    """Give how long full command is held: as on the run that is laid over, else a good while at speed."""
    if in_metres and drawing.overlay is not None:
        run = drawing.overlay.measured
        if run.starts_s is not None and run.brakes_s is not None:
            return run.brakes_s - run.starts_s
    return 1.6 * max(ramp.time_to_speed for ramp in ramps)


def _run_points(drawing: ResponseDrawing) -> Points:
    """Give the samples of the run that is laid over, its clock begun where the chair began to move."""
    overlay = drawing.overlay
    if overlay is None or overlay.trace is None or overlay.trace.speed_m_s is None:
        return []
    start = overlay.measured.starts_s or 0.0
    pairs = list(zip(overlay.trace.time_s, overlay.trace.speed_m_s, strict=True))
    step = max(len(pairs) // MOST_POINTS, 1)
    end = (overlay.measured.rests_s or pairs[-1][0]) + 0.3
    return [(t - start, max(abs(v), 0.0)) for t, v in pairs[::step] if start <= t <= end]


def _run_level(drawing: ResponseDrawing, motion: str, end: float) -> Points:
    """Give the speed of a run over a distance as a level line, where the model's speed is in proportion to it."""
    if drawing.overlay is None or not drawing.is_speed_in_metres(motion):
        return []
    speed = drawing.overlay.measured.top_speed_m_s
    return [(0.0, speed), (end, speed)]


def _roles(drawing: ResponseDrawing) -> tuple[Role, ...]:
    return ROLES if len(drawing.sides) == 2 else ("after",)


def _words_at(drawing: ResponseDrawing, curves: dict[Role, Points]) -> dict[Role, str]:
    """Give the words that may stand at the curves: only where there are two."""
    if not all(role in curves for role in ROLES):
        return {}
    return {role: side.word for role, side in zip(ROLES, drawing.sides, strict=True)}


def _key(
    drawing: ResponseDrawing, said: dict[Role, str], curves: dict[Role, Points]
) -> tuple[tuple[tuple[Role, ...], str], ...]:
    """Give the lines of a key; two curves that are one get one line."""
    words = dict(zip(_roles(drawing), (side.word for side in drawing.sides), strict=True))
    if len(said) == 2 and all(role in curves for role in ROLES) and curves["before"] == curves["after"]:
        return ((ROLES, f"{words['before']} and {words['after']}: {said['after']}"),)
    return tuple(((role,), f"{words[role]}: {text}") for role, text in said.items())


def _grid(plots: list[SmallPlot], layout: Layout, *, columns: int, height: float) -> list[dict[str, Any]]:
    """Put plots in rows of so many columns."""
    width = (layout.total - _GAP * (columns - 1)) / columns
    rows = []
    for first in range(0, len(plots), columns):
        panels = row_of_plots(plots[first : first + columns], layout, width=width, height=height)
        parts = [part for one in panels for part in (one, blank(_GAP, 10))][:-1]
        rows += [across(parts) if len(parts) > 1 else parts[0], blank(layout.total, 14)]
    return rows


def _header(drawing: ResponseDrawing, layout: Layout) -> dict[str, Any]:
    """Draw the title, and under it what differs."""
    title = wrap(drawing.title, layout.total, layout.title, bold=True)
    said = [line for words in findings(drawing) for line in wrap(words, layout.total, layout.sentence)]
    sheets = [f"{side.word.capitalize()}: {side.told}." for side in drawing.sides]
    sides = [line for words in sheets for line in wrap(words, layout.total, layout.body)]
    heights = [layout.title * 1.3, layout.sentence * 1.35, layout.body * 1.35]
    tops = [0.0, heights[0] * len(title) + 2, heights[0] * len(title) + heights[1] * len(said) + 8]
    layers = [
        lines_of_text(title, name="title", x=0, top=0, leading=heights[0], fontSize=layout.title, fontWeight="bold"),
        lines_of_text(said, name="findings", x=0, top=tops[1], leading=heights[1], fontSize=layout.sentence),
        lines_of_text(
            sides, name="sheets", x=0, top=tops[2], leading=heights[2], fontSize=layout.body, color=theme.QUIET_INK
        ),
    ]
    return panel(layers, name="header", width=layout.total, height=tops[2] + heights[2] * len(sides) + 16)


def _words(drawing: ResponseDrawing, layout: Layout) -> list[dict[str, Any]]:
    """Put the words beneath: one column, or two where there is room."""
    found = sections(drawing)
    if layout.stacked:
        return [words_panel(found, layout, name="words", width=layout.total)]
    half = (layout.total - layout.gap) / 2
    cut = min(3, len(found) - 1)
    columns = (found[:cut], found[cut:])
    parts = [words_panel(part, layout, name=f"words {i}", width=half) for i, part in enumerate(columns)]
    return [across([parts[0], blank(layout.gap, 10), parts[1]])]

