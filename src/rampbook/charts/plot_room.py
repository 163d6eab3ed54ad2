"""Where everything of the practices panel stands: worked out once, so that labels and marks agree."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rampbook.charts.frames import dated
from rampbook.charts.marks import Axis, Row
from rampbook.charts.plot_scale import value_ends
from rampbook.charts.strip_labels import Flag, Placed, place_labels
from rampbook.charts.text_fit import wrap
from rampbook.charts.theme import Layout
from rampbook.evidence.finding import Finding

# Beyond this many crossings only the first of each kind is named; the bands show the others.
MOST_NAMED_CROSSINGS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Where everything of the panel stands: worked out once, so that labels and marks agree."""

    layout: Layout
    frames: dict[str, list[Row]]
    title: list[str]
    labels: list[Placed]
    homeless: list[Flag]
    x: Axis
    y: Axis
    height: float

    @property
    def leading(self) -> float:
        """Height of one row of labels."""
        return self.layout.small * 1.35

    @property
    def step(self) -> float:
        """Pixels from one practice to the next."""
        return self.x.at(1) - self.x.at(0)

    @property
    def header(self) -> float:
        """Middle of the row that names the settings, just above the plot."""
        return self.y.end - 0.7 * self.leading


def practice_axis(frames: dict[str, list[Row]], layout: Layout) -> Axis:
    """Give the axis along which the practices stand, one step each."""
    positions = [row["position"] for row in frames["practices"]] or [0]
    beyond = [row["position"] for name in ("changes", "events") for row in frames[name]]
    low = min(positions[0] - 0.5, max(min([*beyond, positions[0]]), positions[0] - 1.0))
    high = max(positions[-1] + 0.5, min(max([*beyond, positions[-1]]), positions[-1] + 1.0))
    return Axis(low=low, high=high, start=layout.left, end=layout.main - layout.right)


def lay_out(finding: Finding, frames: dict[str, list[Row]], layout: Layout) -> Room:
    """Work out where everything stands."""
    x = practice_axis(frames, layout)
    title = wrap(finding.drawing.axis, layout.main, layout.small, bold=True)
    labels, homeless = place_labels(_flags(frames, x), left=0.0, right=float(layout.main), size=layout.small)
    leading = layout.small * 1.35
    rows = max((placed.top_row + 1 for placed in labels), default=0)
    top = leading * (len(title) + rows + 1.5) + 4
    low, high = value_ends(finding.kind, frames)
    y = Axis(low=low, high=high, start=top + layout.plot_height, end=top)
    return Room(
        layout=layout,
        frames=frames,
        title=title,
        labels=labels,
        homeless=homeless,
        x=x,
        y=y,
        height=top + layout.plot_height + 4,
    )


def _flags(frames: dict[str, list[Row]], x: Axis) -> list[Flag]:
    """List what wants a label above the plot."""
    rows = {"change": _named_changes(frames["changes"]), "event": frames["events"], "gap": frames["gaps"]}
    return [
        Flag(
            x=x.at(x.kept(row["position"])),
            role=role,
            told=_dated(row),
            text=_dated(row) if role == "change" else row["text"],
        )
        for role, ones in rows.items()
        for row in ones
    ]


def _named_changes(changes: list[Row]) -> list[Row]:
    """Choose the crossings to name, and leave out the words that all share after they were said once."""
    if len(changes) > MOST_NAMED_CROSSINGS:
        first: dict[str, Row] = {}
        for row in changes:
            first.setdefault(row["text"], row)
        changes = list(first.values())
    shared = _shared_start([row["text"] for row in changes])
    return [{**row, "text": row["text"][shared:] if i else row["text"]} for i, row in enumerate(changes)]


def _shared_start(texts: list[str]) -> int:
    """Give the length of the words that all texts begin with, never a whole text: "acceleration " is 13."""
    words = [text.split(" ") for text in texts]
    shared = 0
    for together in zip(*(ones[:-1] for ones in words), strict=False):
        # A number is a value, and belongs to what happened rather than to what it happened to.
        if len(set(together)) > 1 or together[0][:1].isdigit():
            break
        shared += len(together[0]) + 1
    return shared if len(texts) > 1 else 0


def _dated(row: Row) -> str:
    on = row.get("on")
    return dated(row["text"], date.fromisoformat(on) if on else None)
