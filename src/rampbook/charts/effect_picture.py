"""The picture of one change: what was changed, what would have been, what was, what may be said."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from rampbook.charts import theme
from rampbook.charts.control_panel import control_panel
from rampbook.charts.effect_panel import effect_panel
from rampbook.charts.frames import alt_text, effect_frames
from rampbook.charts.marks import Row, across, blank, down
from rampbook.charts.plot_room import Room, lay_out
from rampbook.charts.practice_axis import axis_panel
from rampbook.charts.practices_panel import named_phases, practices_panel
from rampbook.charts.theme import LAYOUTS, Layout, Width
from rampbook.charts.words import percent, without_words
from rampbook.charts.words_panel import Section, belief_sections, header_panel, limit_sections, words_panel
from rampbook.evidence.finding import Finding

if TYPE_CHECKING:
    import altair as alt

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
# The plot grows by at most this many pixels to be as tall as the words beside it; more words than that go
# beneath.
MOST_STRETCH = 130.0


def effect_picture(finding: Finding, *, width: Width = "wide") -> alt.VConcatChart:
    """Give the picture of one change as an Altair chart.

    Parameters
    ----------
    finding : Finding
        What was found; everything drawn is in it.
    width : {"wide", "half", "narrow"}
        For an A4 page across or a tablet (1040 px), half an upright A4 page (440 px), or a
        telephone (360 px).

    Returns
    -------
    altair.VConcatChart
        Without any fetched part; see ``render`` for SVG, PNG and HTML.
    """
    from rampbook.charts.as_altair import Picture

    return Picture(**effect_spec(finding, width=width))


def effect_spec(finding: Finding, *, width: Width = "wide") -> dict[str, Any]:
    """Give the same picture as a Vega-Lite specification, which is plain data."""
    layout = LAYOUTS[width]
    frames = effect_frames(finding)
    body = _stacked(finding, frames, layout) if layout.stacked else _side_by_side(finding, frames, layout)
    return _whole(finding, [header_panel(finding, layout), *body])


def _stacked(finding: Finding, frames: dict[str, list[Row]], layout: Layout) -> list[dict[str, Any]]:
    room = lay_out(finding, frames, layout)
    sections = [*belief_sections(finding), *limit_sections(finding, room.homeless)]
    words = words_panel(sections, layout, name="words", width=layout.total, rung=finding.rung)
    return [
        *_main_column(finding, room),
        blank(layout.total, 12),
        effect_panel(finding, layout),
        blank(layout.total, 6),
        words,
    ]


def _side_by_side(finding: Finding, frames: dict[str, list[Row]], layout: Layout) -> list[dict[str, Any]]:
    """Put effect and words beside the practices; words that are too many go beneath, in two columns."""
    room = lay_out(finding, frames, layout)
    belief, limits = belief_sections(finding), limit_sections(finding, room.homeless)
    side = _side_column(finding, layout, [*belief, *limits])
    main = _main_column(finding, room)
    missing = _height(side) - _height(main)
    below: list[dict[str, Any]] = []
    if missing > MOST_STRETCH:
        half = (layout.total - layout.gap) / 2
        columns = [
            words_panel(part, layout, name=f"words {i}", width=half)
            for i, part in enumerate((limits[:1], limits[1:]))
            if part
        ]
        side = _side_column(finding, layout, belief)
        below = [blank(layout.total, 10), across([columns[0], blank(layout.gap, 10), *columns[1:]])]
    elif missing > 0:
        taller = replace(layout, plot_height=layout.plot_height + missing)
        main = _main_column(finding, lay_out(finding, frames, taller))
    return [across([down(main), blank(layout.gap, 10), down(side)]), *below]


def _side_column(finding: Finding, layout: Layout, sections: list[Section]) -> list[dict[str, Any]]:
    words = words_panel(sections, layout, name="words", width=layout.side, rung=finding.rung)
    return [effect_panel(finding, layout), blank(layout.side, 12), words]


def _height(panels: list[dict[str, Any]]) -> float:
    return float(sum(part["height"] for part in panels))


def _whole(finding: Finding, panels: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "$schema": SCHEMA,
        "description": alt_text(finding),
        "background": theme.PAPER,
        "padding": theme.MARGIN,
        "config": theme.config(),
        **down(panels),
    }


def _main_column(finding: Finding, room: Room) -> list[dict[str, Any]]:
    practices, is_named = practices_panel(finding, room)
    control = control_panel(finding, room)
    notes = _notes(finding, room, is_named=is_named)
    axis = axis_panel(room.frames, room.x, room.layout, notes, has_trend=finding.drawing.has_trend)
    return [practices, *([control] if control else []), axis]


def _notes(finding: Finding, room: Room, *, is_named: bool) -> list[str]:
    """Say what the marks are, in the few cases where they cannot be named beside themselves."""
    frames, drawing = room.frames, finding.drawing
    phases = {row["phase"] for row in frames["phases"]}
    unnamed = phases - named_phases(room)
    notes = []
    if unnamed:
        names = ((0, f"dark circles: {drawing.old_label}"), (1, f"light squares: {drawing.new_label}"))
        notes.append("; ".join(words for phase, words in names if phase in phases).capitalize() + ".")
    if not is_named:
        notes.append(f"Dashed line: {without_words(drawing.old_label)}.")
    if any("low" in row for row in frames["without"]):
        notes.append(f"Shaded around the dashed line: its {percent(finding.confidence)} range.")
    if frames["attempts"]:
        notes.append("Small faint marks: single attempts.")
    stopped = sum(row["unfinished"] for row in frames["attempts"])
    if stopped:
        notes.append(f"Crosses: {stopped} attempt{'s' if stopped > 1 else ''} not finished, drawn at the time limit.")
    return [" ".join(notes)] if notes else []
