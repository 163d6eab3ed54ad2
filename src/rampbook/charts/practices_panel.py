"""The practices: every one a mark, attempts faint behind, what would have been, what changed when."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from rampbook.charts import theme
from rampbook.charts.flag_layers import flag_labels, flag_lines
from rampbook.charts.marks import Layer, Row, boxes, layer, lines_of_text, panel, pixels, rules, text
from rampbook.charts.plot_room import Room
from rampbook.charts.plot_scale import value_label
from rampbook.charts.text_fit import text_width
from rampbook.charts.ticks import round_ticks
from rampbook.charts.without_name import without_label
from rampbook.evidence.finding import Finding


def practices_panel(finding: Finding, room: Room) -> tuple[dict[str, Any], bool]:
    """Draw the panel; also tell whether the dashed line could be named beside itself."""
    label = without_label(finding, room)
    layers = [
        phase_bands(room, room.y.end, room.y.start),
        *_value_axis(finding, room),
        *flag_lines(room),
        *_without(room),
        _fitted(room),
        *_attempts(room),
        _practices(room),
        *_phase_names(finding, room),
        *flag_labels(room),
        lines_of_text(
            room.title,
            name="value title",
            x=0,
            top=0,
            leading=room.leading,
            fontSize=room.layout.small,
            fontWeight="bold",
        ),
        *label,
        *_no_practices(room),
    ]
    is_named = bool(label) or not room.frames["without"]
    return panel(layers, name="practices", width=room.layout.main, height=room.height), is_named


def phase_bands(room: Room, top: float, bottom: float) -> Layer:
    """Draw the quiet background of every stretch with the new setting."""
    rows = [
        {
            "px": room.x.at(room.x.kept(p["start"])),
            "px2": room.x.at(room.x.kept(p["end"])),
            "py": top,
            "py2": bottom,
        }
        for p in room.frames["phases"]
        if p["phase"] == 1
    ]
    return boxes(rows, name="stretches with the new setting", color=theme.PHASE_BAND)


def _value_axis(finding: Finding, room: Room) -> list[Layer]:
    if not room.frames["practices"]:
        return []
    layout = room.layout
    ends = (
        (max(room.y.low, 0.0), min(room.y.high, 1.0)) if finding.kind.name == "success" else (room.y.low, room.y.high)
    )
    values = round_ticks(*ends, at_most=max(int(layout.plot_height / 42), 3))
    rows = [
        {
            "px": room.x.start,
            "px2": room.x.end,
            "py": room.y.at(v),
            "py2": room.y.at(v),
            "text": value_label(finding.kind, v),
        }
        for v in values
    ]
    names = [{**row, "px": room.x.start - 6} for row in rows]
    return [
        rules(rows, name="value lines", color=theme.RULE),
        text(names, name="values", align="right", fontSize=layout.small, color=theme.QUIET_INK),
    ]


def _curve(room: Room, rows: list[Row], *, name: str, **style: Any) -> Layer:
    kept = [{**row, "value": room.y.kept(row["value"])} for row in rows]
    encoding = {
        "x": room.x.spec("position"),
        "y": room.y.spec("value"),
        "detail": {"field": "run", "type": "nominal"},
    }
    return layer(kept, "line", name=name, encoding=encoding, **style)


def _without(room: Room) -> list[Layer]:
    """Draw what would have been, dashed, with its range; the range is cut where it leaves the plot."""
    rows = room.frames["without"]
    ranged = [
        {**row, "low": room.y.kept(row["low"]), "high": room.y.kept(row["high"])}
        for row in rows
        if "low" in row and "high" in row
    ]
    encoding = {
        "x": room.x.spec("position"),
        "y": room.y.spec("low"),
        "y2": {"field": "high"},
        "detail": {"field": "run", "type": "nominal"},
    }
    return [
        layer(ranged, "area", name="range without the change", encoding=encoding, color=theme.OLD, opacity=0.16),
        _curve(room, rows, name="without the change", color=theme.OLD, strokeWidth=2, strokeDash=[6, 4]),
    ]


def _fitted(room: Room) -> Layer:
    fitted = _curve(room, room.frames["fitted"], name="fitted", strokeWidth=2.4)
    fitted["encoding"]["stroke"] = _by_phase(theme.INKS)
    return fitted


def _by_phase(looks: dict[int, str]) -> dict[str, Any]:
    scale = {"domain": list(looks), "range": list(looks.values())}
    return {"field": "phase", "type": "nominal", "scale": scale, "legend": None}


def _marked(room: Room, rows: list[Row], *, name: str, **style: Any) -> Layer:
    kept = [{**row, "value": room.y.kept(row["value"])} for row in rows]
    encoding = {"x": room.x.spec("position"), "y": room.y.spec("value")}
    extra = {"color": _by_phase(theme.FILLS), "shape": _by_phase(theme.SHAPES)}
    return layer(kept, "point", name=name, encoding=encoding, extra=extra, filled=True, **style)


def _attempts(room: Room) -> list[Layer]:
    rows = room.frames["attempts"]
    size = max(min(room.layout.mark * 0.2, (room.step * 0.8) ** 2), 4)
    finished = _marked(room, [row for row in rows if not row["unfinished"]], name="attempts", size=size, opacity=0.38)
    stopped = [{**row, "value": room.y.kept(row["value"])} for row in rows if row["unfinished"]]
    encoding = {"x": room.x.spec("position"), "y": room.y.spec("value")}
    cross = layer(
        stopped,
        "point",
        name="unfinished attempts",
        encoding=encoding,
        shape="M-1,-1L1,1M-1,1L1,-1",
        size=34,
        stroke=theme.INK,
        strokeWidth=1.4,
        filled=False,
    )
    return [finished, cross]


def _practices(room: Room) -> Layer:
    size = max(min(room.layout.mark, (room.step * 1.5) ** 2), 16)
    halo = {"stroke": theme.PAPER, "strokeWidth": 1} if size > 30 else {}
    return _marked(room, room.frames["practices"], name="practices", size=size, opacity=1, **halo)


def _phase_names(finding: Finding, room: Room) -> list[Layer]:
    """Name each stretch by its setting, with the shape of its marks, wherever the words have room."""
    marks: list[Row] = []
    names: dict[int, list[Row]] = {0: [], 1: []}
    size = room.layout.small
    for phase in room.frames["phases"]:
        left, right = _clear_stretch(room, phase)
        width = text_width(phase["setting"], size, bold=True) + 14
        if width + 6 > right - left:
            continue
        start = (left + right - width) / 2
        marks.append({"px": start + 4, "py": room.header, "phase": phase["phase"]})
        names[phase["phase"]].append({"px": start + 13, "py": room.header, "text": phase["setting"]})
    shapes = layer(
        marks,
        "point",
        name="setting marks",
        encoding={"x": pixels("px"), "y": pixels("py")},
        extra={"color": _by_phase(theme.FILLS), "shape": _by_phase(theme.SHAPES)},
        filled=True,
        size=60,
        opacity=1,
    )
    written = [
        text(names[phase], name=f"setting {phase}", fontSize=size, fontWeight="bold", color=theme.INKS[phase])
        for phase in (0, 1)
    ]
    return [shapes, *written]


def named_phases(room: Room) -> set[int]:
    """Tell which of the two settings are named in the row above the plot."""
    size = room.layout.small
    return {
        phase["phase"]
        for phase in room.frames["phases"]
        if text_width(phase["setting"], size, bold=True) + 20 <= (e := _clear_stretch(room, phase))[1] - e[0]
    }


def _clear_stretch(room: Room, phase: Row) -> tuple[float, float]:
    """Give the widest part of a stretch that no labelled line passes through on its way up."""
    left, right = room.x.at(room.x.kept(phase["start"])), room.x.at(room.x.kept(phase["end"]))
    crossings = sorted(p.flag.x for p in room.labels if left < p.flag.x < right)
    ends = [left, *crossings, right]
    return max(pairwise(ends), key=lambda pair: pair[1] - pair[0])


def _no_practices(room: Room) -> list[Layer]:
    if room.frames["practices"]:
        return []
    row = {
        "px": room.x.start + 10,
        "py": (room.y.start + room.y.end) / 2,
        "text": "no practice of this kind yet",
    }
    return [text([row], name="no practices", fontSize=room.layout.body, color=theme.QUIET_INK)]
