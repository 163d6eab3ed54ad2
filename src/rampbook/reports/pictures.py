"""The pictures of a page, each with the words that stand for it."""

from __future__ import annotations

from collections.abc import Sequence

from rampbook.charts.effect_picture import effect_spec
from rampbook.charts.forest import forest_spec
from rampbook.charts.frames import alt_text
from rampbook.charts.render import to_svg
from rampbook.evidence.finding import Finding
from rampbook.reports.season import Picture


def draw_one(finding: Finding) -> Picture:
    """Return the picture of one change, for a page and for a telephone."""
    return Picture(
        svg=to_svg(effect_spec(finding)),
        narrow_svg=to_svg(effect_spec(finding, width="narrow")),
        alt=alt_text(finding),
    )


def draw_all(findings: Sequence[Finding]) -> Picture:
    """Return all findings side by side; the table beneath the picture says the same in words."""
    wide = forest_spec(findings)
    return Picture(
        svg=to_svg(wide), narrow_svg=to_svg(forest_spec(findings, width="narrow")), alt=wide["description"]
    )
