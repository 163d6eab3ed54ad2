"""The few Vega-Lite layers that our pictures are made of, as plain dictionaries.

A specification is plain data: it can be drawn, tested and stored without importing Altair (about a
second). The picture that a person works with in Python is still an Altair chart; see ``as_altair``.

Every layer carries its own rows. ``x`` and ``y`` name a column that is placed by the panel's scales; ``px``
and ``py`` name a column that already is in pixels of the panel.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from rampbook.charts import theme

Row = dict[str, Any]
Layer = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A straight scale from values to pixels; known here, so that labels can keep clear of marks."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Give the pixel of a value."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def kept(self, value: float) -> float:
        """Give the value, or the end of the axis that it lies beyond."""
        return min(max(value, self.low), self.high)

    def spec(self, column: str) -> dict[str, Any]:
        """Give the encoding of a column on this axis."""
        scale = {
            "domain": [self.low, self.high],
            "range": [self.start, self.end],
            "nice": False,
            "zero": False,
        }
        return {"field": column, "type": "quantitative", "axis": None, "scale": scale}


def pixels(column: str) -> dict[str, Any]:
    """Give the encoding of a column that is in pixels already."""
    return {"field": column, "type": "quantitative", "axis": None, "scale": None}


def layer(
    rows: Iterable[Row],
    mark: str,
    *,
    name: str,
    encoding: dict[str, Any],
    extra: dict[str, Any] | None = None,
    **style: Any,
) -> Layer:
    """Give one layer: its rows, its mark with style, and where its columns go."""
    return {
        "name": name,
        "data": {"values": list(rows)},
        "mark": {"type": mark, **style},
        "encoding": {**encoding, **(extra or {})},
    }


def text(rows: Iterable[Row], *, name: str, **style: Any) -> Layer:
    """Give text at pixel places; each row has ``px``, ``py`` and ``text``, and may not have a legend."""
    encoding = {"x": pixels("px"), "y": pixels("py"), "text": {"field": "text", "type": "nominal"}}
    return layer(rows, "text", name=name, encoding=encoding, **style)


def lines_of_text(lines: list[str], *, name: str, x: float, top: float, leading: float, **style: Any) -> Layer:
    """Give lines of text under each other, the first one ``leading`` pixels high from ``top``."""
    rows = [{"px": x, "py": top + leading * (i + 0.5), "text": line} for i, line in enumerate(lines)]
    return text(rows, name=name, **style)


def rules(rows: Iterable[Row], *, name: str, **style: Any) -> Layer:
    """Give straight lines between two pixel places; each row has ``px``, ``py``, ``px2`` and ``py2``."""
    encoding = {"x": pixels("px"), "y": pixels("py"), "x2": {"field": "px2"}, "y2": {"field": "py2"}}
    return layer(rows, "rule", name=name, encoding=encoding, **style)


def boxes(rows: Iterable[Row], *, name: str, **style: Any) -> Layer:
    """Give filled areas between two pixel corners; each row has ``px``, ``py``, ``px2`` and ``py2``."""
    encoding = {"x": pixels("px"), "y": pixels("py"), "x2": {"field": "px2"}, "y2": {"field": "py2"}}
    return layer(rows, "rect", name=name, encoding=encoding, **style)


def diamonds(rows: Iterable[Row], *, name: str, size: float) -> Layer:
    """Give the mark of an estimate at pixel places: a dark diamond with a white edge."""
    style: dict[str, Any] = {"shape": "diamond", "filled": True, "opacity": 1, "strokeWidth": 1.3}
    encoding = {"x": pixels("px"), "y": pixels("py")}
    return layer(rows, "point", name=name, encoding=encoding, size=size, color=theme.INK, stroke=theme.PAPER, **style)


def upright(places: Iterable[float], top: float, bottom: float) -> list[Row]:
    """Give the rows of upright lines at pixel places, for ``rules``."""
    return [{"px": at, "px2": at, "py": top, "py2": bottom} for at in places]


def level(places: Iterable[float], left: float, right: float) -> list[Row]:
    """Give the rows of level lines at pixel places, for ``rules``."""
    return [{"px": left, "px2": right, "py": at, "py2": at} for at in places]


def panel(layers: list[Layer], *, name: str, width: float, height: float) -> dict[str, Any]:
    """Give one panel of a fixed size; layers without rows are left out, names carry the panel's own."""
    drawn = [{**one, "name": f"{name}: {one['name']}"} for one in layers if one["data"]["values"]]
    return {"name": f"{name} panel", "width": width, "height": height, "layer": drawn or [_nothing()]}


def blank(width: float, height: float) -> dict[str, Any]:
    """Give an empty panel that only keeps others apart."""
    return {"width": width, "height": height, **_nothing()}


def _nothing() -> Layer:
    return {"data": {"values": [{}]}, "mark": {"type": "point", "opacity": 0}}


def across(panels: list[dict[str, Any]]) -> dict[str, Any]:
    """Put panels beside each other."""
    return {"hconcat": panels, "spacing": 0, "bounds": "full"}


def down(panels: list[dict[str, Any]]) -> dict[str, Any]:
    """Put panels under each other."""
    return {"vconcat": panels, "spacing": 0, "bounds": "full"}
