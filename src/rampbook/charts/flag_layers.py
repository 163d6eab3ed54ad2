"""The lines of changes, events and breaks, and their labels above the plot."""

from __future__ import annotations

from rampbook.charts import theme
from rampbook.charts.marks import Layer, Row, rules, text
from rampbook.charts.plot_room import MOST_NAMED_CROSSINGS, Room


def flag_lines(room: Room) -> list[Layer]:
    """Draw a line for every change, event and break, up to its label where it has one."""
    tops = {(p.flag.role, p.flag.x): room.y.end - room.leading * (p.top_row + 2.2) for p in room.labels}
    styles = {
        "change": {"color": theme.INK, "strokeWidth": 1.6},
        "event": {"color": theme.EVENT_RULE, "strokeDash": [2, 3], "strokeWidth": 1.4},
        "gap": {"color": theme.EVENT_RULE, "strokeDash": [9, 4], "strokeWidth": 1},
    }
    out = []
    for role, name in (("gap", "gaps"), ("event", "events"), ("change", "changes")):
        places = [room.x.at(room.x.kept(row["position"])) for row in room.frames[name]]
        style = styles[role] | ({"strokeWidth": 0.8} if role == "change" and len(places) > MOST_NAMED_CROSSINGS else {})
        rows = [{"px": x, "px2": x, "py": tops.get((role, x), room.y.end), "py2": room.y.start} for x in places]
        out.append(rules(rows, name=f"{name} lines", **style))
    return out


def flag_labels(room: Room) -> list[Layer]:
    """Write the labels where they found their places."""
    rows: dict[str, list[Row]] = {"change": [], "event": [], "gap": []}
    for placed in room.labels:
        for i, line in enumerate(placed.lines):
            above = placed.top_row - i
            rows[placed.flag.role].append(
                {"px": placed.left, "py": room.y.end - room.leading * (above + 1.7), "text": line}
            )
    size = room.layout.small
    return [
        text(rows["change"], name="change labels", fontSize=size, fontWeight="bold"),
        text(rows["event"], name="event labels", fontSize=size, color=theme.QUIET_INK),
        text(rows["gap"], name="gap labels", fontSize=size, color=theme.QUIET_INK, fontStyle="italic"),
    ]
