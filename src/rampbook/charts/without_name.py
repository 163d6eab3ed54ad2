"""The name of the dashed line, beside the line itself, where no mark and no other line is in the way."""

from __future__ import annotations

from itertools import groupby, pairwise

from rampbook.charts import theme
from rampbook.charts.free_room import FreeRoom
from rampbook.charts.marks import Layer, lines_of_text, rules
from rampbook.charts.plot_room import Room
from rampbook.charts.text_fit import text_width, unbroken, wrap
from rampbook.charts.words import without_words
from rampbook.evidence.finding import Finding

# The name stands at most so many pixels from the line, and points to it when farther than this.
FARTHEST_NAME = 120.0
POINT_FROM = 16.0
# Widths that the name may be broken to, as shares of the panel.
NAME_BREAKS = (0.4, 0.22, 0.17)

Curve = list[list[tuple[float, float]]]


def without_label(finding: Finding, room: Room) -> list[Layer]:
    """Name the dashed line beside itself, where no mark and no line is in the way."""
    rows = room.frames["without"]
    if not rows:
        return []
    size, leading = room.layout.small, room.layout.small * 1.25
    curve = _curve(room)
    found = _place_for_name(room, without_words(finding.drawing.old_label), curve)
    if found is None:
        return []
    lines, left, top = found
    x = left + _widest(lines, size) / 2
    y = _under(curve, x) or top
    edge = top + leading * len(lines) + 1 if y > top else top - 1
    pointer = [{"px": x, "py": edge, "px2": x, "py2": y}] if abs(y - edge) > POINT_FROM else []
    return [
        rules(pointer, name="without pointer", color=theme.OLD, strokeWidth=0.8),
        lines_of_text(
            lines,
            name="without label",
            x=left,
            top=top,
            leading=leading,
            fontSize=size,
            fontStyle="italic",
            color=theme.OLD,
        ),
    ]


def _curve(room: Room) -> Curve:
    """Give the dashed line in pixels, run by run."""
    rows = room.frames["without"]
    return [
        [(room.x.at(row["position"]), room.y.at(room.y.kept(row["value"]))) for row in run]
        for _, run in groupby(rows, key=lambda row: row["run"])
    ]


def _place_for_name(room: Room, name: str, curve: Curve) -> tuple[list[str], float, float] | None:
    """Find free room for a name near a curve, on one line or on more; give lines, left and top."""
    size = room.layout.small
    taken = _taken(room)
    for share in NAME_BREAKS:
        lines = wrap(unbroken(name), share * room.layout.main, size)
        width, height = _widest(lines, size), size * 1.25 * len(lines)

        def cost(left: float, top: float, width: float = width, height: float = height) -> float:
            y = _under(curve, left + width / 2)
            if y is None:
                return FARTHEST_NAME + 1
            # Among equals the one farther to the right, where the line has had its way.
            return max(top - y, y - (top + height), 0.0) + 0.02 * (room.x.end - left)

        found = taken.find(width, height, cost)
        if found is not None and cost(*found) <= FARTHEST_NAME:
            return lines, *found
    return None


def _under(curve: Curve, x: float) -> float | None:
    """Give the height of the curve at a place; None where it is not drawn there."""
    for run in curve:
        for (left, a), (right, b) in pairwise(run):
            if left <= x <= right:
                return a + (b - a) * (x - left) / (right - left)
    return None


def _widest(lines: list[str], size: float) -> float:
    return max(text_width(line, size) for line in lines)


def _taken(room: Room) -> FreeRoom:
    free = FreeRoom(room.x.start + 2, room.y.end, room.x.end, room.y.start)
    for name, around in (("practices", 6.0), ("attempts", 4.0)):
        for row in room.frames[name]:
            x, y = room.x.at(row["position"]), room.y.at(room.y.kept(row["value"]))
            free.take(x - around, y - around, x + around, y + around)
    for name in ("fitted", "without"):
        for run in sorted({row["run"] for row in room.frames[name]}):
            free.take_line(
                (room.x.at(row["position"]), room.y.at(room.y.kept(row["value"])))
                for row in room.frames[name]
                if row["run"] == run
            )
    for name in ("changes", "events", "gaps"):
        for row in room.frames[name]:
            x = room.x.at(room.x.kept(row["position"]))
            free.take(x - 3, room.y.end, x + 3, room.y.start)
    return free
