"""Reading a specification back: its panels, its layers, its words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from typing import Any

from rampbook.charts.text_fit import SAFETY, text_width


def panels(spec: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Every panel of a picture, however deep it stands."""
    for part in (*spec.get("vconcat", ()), *spec.get("hconcat", ())):
        yield from panels(part)
        if "layer" in part:
            yield part


def rows_of(spec: dict[str, Any], name: str) -> list[dict[str, Any]]:
    """The rows of one layer by its name; none where it is not drawn."""
    found = [layer for panel in panels(spec) for layer in panel["layer"] if layer.get("name") == name]
    return list(found[0]["data"]["values"]) if found else []


def written(spec: dict[str, Any]) -> Iterator[tuple[dict[str, Any], str, float, float, float]]:
    """Every line of text with its panel, its left and right end and its height, in pixels of the panel."""
    for panel in panels(spec):
        for layer in panel["layer"]:
            mark = layer["mark"]
            if mark["type"] != "text":
                continue
            for row in layer["data"]["values"]:
                width = text_width(row["text"], mark["fontSize"], bold=mark.get("fontWeight") == "bold") / SAFETY
                left = row["px"] - {"center": width / 2, "right": width}.get(mark.get("align", "left"), 0.0)
                yield panel, row["text"], left, left + width, row["py"]


def plain(text: str) -> str:
    """Words alone, for comparing what was broken into lines: no tags, one kind of space."""
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", text)).split())
