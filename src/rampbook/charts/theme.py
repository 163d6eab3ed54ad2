"""The look of every picture: few colours with one meaning each, told apart by lightness and shape."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

Width = Literal["wide", "half", "narrow"]

# The first family is the one that the SVG-to-PNG step carries with it, so that a PNG is the same on every
# machine; Arial has the same letter widths, and text_fit measures with them.
FONT = "Liberation Sans, Arial, Helvetica, sans-serif"

INK = "#20262d"
QUIET_INK = "#57616b"
RULE = "#e3e6e9"
EVENT_RULE = "#78828c"
PAPER = "#ffffff"
# Old: dark and cool, a circle. New: light and warm, a square. In grey they are about 30% and 60% light.
OLD = "#1d4e79"
NEW = "#d9822b"
NEW_INK = "#8a4800"
UNTOUCHED = "#6b6b6b"
PHASE_BAND = "#faf5ec"
TOO_SMALL = "#e4e7ea"

SHAPES = {0: "circle", 1: "square"}
FILLS = {0: OLD, 1: NEW}
INKS = {0: OLD, 1: NEW_INK}


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Sizes of one width of picture, in pixels, without the margin around it.

    ``wide`` is for A4 across or a tablet (1 px about 0.27 mm), ``half`` for half the width of an upright
    A4 page (1 px about 0.21 mm, so that 13 px print as 8 pt), ``narrow`` for a telephone.
    """

    total: int
    main: int
    side: int
    gap: int
    plot_height: float
    left: int
    right: int
    title: float
    sentence: float
    body: float
    small: float
    mark: float

    @property
    def stacked(self) -> bool:
        """Whether the panels stand under each other rather than side by side."""
        return self.gap == 0


LAYOUTS: dict[Width, Layout] = {
    "wide": Layout(
        total=1020, main=680, side=300, gap=40, plot_height=330, left=42, right=10,
        title=19, sentence=15.5, body=13, small=12, mark=70,
    ),
    "half": Layout(
        total=420, main=420, side=420, gap=0, plot_height=250, left=42, right=8,
        title=17, sentence=15, body=13.5, small=13, mark=60,
    ),
    "narrow": Layout(
        total=340, main=340, side=340, gap=0, plot_height=230, left=38, right=6,
        title=16, sentence=14, body=13, small=12, mark=45,
    ),
}  # fmt: skip

# Around the whole picture: a narrow one is 360 px with it.
MARGIN = 10


def config() -> dict[str, Any]:
    """Give what holds for the whole picture: no boxes, our letters, no legends."""
    return {
        "font": FONT,
        "view": {"stroke": None},
        "aria": False,
        "text": {"font": FONT, "color": INK, "baseline": "middle", "align": "left"},
        "legend": {"disable": True},
    }
