"""A specification as SVG or PNG, drawn on this machine without a browser."""

from __future__ import annotations

import json
from functools import lru_cache
from html import escape
from typing import Any


def to_svg(spec: dict[str, Any]) -> str:
    """Draw a specification as SVG, always the same text, its description there to be read aloud."""
    return _drawn(json.dumps(spec))


def warm_up() -> None:
    """Draw a point, so that the engine of the drawing stands ready: its first picture takes a second longer."""
    to_svg({"data": {"values": [{}]}, "mark": "point"})


def to_png(spec: dict[str, Any], *, scale: float = 2.0) -> bytes:
    """Draw a specification as PNG; ``scale`` 2 is right for screens, 3 for print."""
    import vl_convert

    png: bytes = vl_convert.svg_to_png(to_svg(spec), scale=scale)
    return png


# A season's pages ask for the same picture more than once: in the review, alone, and as PNG. Drawing is the slow part.
@lru_cache(maxsize=64)
def _drawn(spec: str) -> str:
    import vl_convert

    svg: str = vl_convert.vegalite_to_svg(spec)
    title = escape(json.loads(spec).get("description", ""))
    head, _, rest = svg.partition(">")
    return f'{head} role="img"><title>{title}</title>{rest}' if title else svg
