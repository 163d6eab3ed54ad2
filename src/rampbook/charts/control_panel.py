"""The untouched series at the same practices, so that a common cause would show in both."""

from __future__ import annotations

from typing import Any

from rampbook.charts import theme
from rampbook.charts.marks import Axis, Layer, layer, level, lines_of_text, panel, rules, text, upright
from rampbook.charts.plot_room import Room
from rampbook.charts.plot_scale import value_label
from rampbook.charts.practices_panel import phase_bands
from rampbook.charts.text_fit import wrap
from rampbook.charts.ticks import round_ticks
from rampbook.charts.words import untouched_words
from rampbook.evidence.finding import Finding

HEIGHT = 80.0


def control_panel(finding: Finding, room: Room) -> dict[str, Any] | None:
    """Draw the panel; None where there is no untouched series."""
    rows = room.frames["control"]
    if not rows:
        return None
    layout = room.layout
    title = wrap(untouched_words(finding.drawing.control_label), layout.main - 4, layout.small, bold=True)
    top = 14 + room.leading * len(title)
    y = _axis(finding, [row["value"] for row in rows], top)
    changes = upright((room.x.at(room.x.kept(row["position"])) for row in room.frames["changes"]), top, top + HEIGHT)
    style: dict[str, Any] = {"fontSize": layout.small, "fontWeight": "bold", "color": theme.UNTOUCHED}
    layers = [
        phase_bands(room, top, top + HEIGHT),
        *_value_axis(finding, room, y),
        rules(changes, name="change lines", color=theme.INK, strokeWidth=1),
        _practices(room, y),
        lines_of_text(title, name="untouched title", x=0, top=10, leading=room.leading, **style),
    ]
    return panel(layers, name="untouched", width=layout.main, height=top + HEIGHT + 4)


def _practices(room: Room, y: Axis) -> Layer:
    size = max(min(room.layout.mark * 0.7, (room.step * 1.5) ** 2), 14)
    look: dict[str, Any] = {"shape": "diamond", "filled": True, "color": theme.UNTOUCHED, "opacity": 1, "size": size}
    encoding = {"x": room.x.spec("position"), "y": y.spec("value")}
    return layer(room.frames["control"], "point", name="untouched practices", encoding=encoding, **look)


def _axis(finding: Finding, values: list[float], top: float) -> Axis:
    low, high = min(values), max(values)
    air = 0.12 * ((high - low) or abs(high) * 0.1 or 1.0)
    floor = 0.0 if finding.kind.name != "rating" else low - air
    low = 0.0 if finding.kind.name == "count" else max(low - air, floor)
    return Axis(low=low, high=high + air, start=top + HEIGHT, end=top)


def _value_axis(finding: Finding, room: Room, y: Axis) -> list[dict[str, Any]]:
    values = round_ticks(y.low, y.high, at_most=4)
    lines = level((y.at(v) for v in values), room.x.start, room.x.end)
    names = [{"px": room.x.start - 6, "py": y.at(v), "text": value_label(finding.kind, v)} for v in values]
    return [
        rules(lines, name="value lines", color=theme.RULE),
        text(names, name="values", align="right", fontSize=room.layout.small, color=theme.QUIET_INK),
    ]
