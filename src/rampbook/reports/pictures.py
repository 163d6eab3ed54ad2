"""The pictures of a page, each with the words that stand for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from rampbook.charts.effect_picture import effect_spec
from rampbook.charts.forest import forest_spec
from rampbook.charts.frames import alt_text
from rampbook.charts.render import to_svg, warm_up
from rampbook.evidence.finding import Finding
from rampbook.reports.season import Picture

if TYPE_CHECKING:
    from concurrent.futures import Executor

# Beside the process that estimates: a third would only wait on two cores.
HELPERS = 1


def draw_one(finding: Finding) -> Picture:
    """Return the picture of one change, for a page and for a telephone."""
    return Picture(
        svg=to_svg(effect_spec(finding)),
        narrow_svg=to_svg(effect_spec(finding, width="narrow")),
        alt=alt_text(finding),
    )


def draw_all(findings: Sequence[Finding]) -> Picture:
    """Return all findings side by side; the table beneath the picture says the same in words."""
    wide, narrow = forest_spec(findings), forest_spec(findings, width="narrow")
    return Picture(svg=to_svg(wide), narrow_svg=to_svg(narrow), alt=wide["description"])


@contextmanager
def drawing_aside() -> Iterator[Executor]:
    """Give helpers that draw in processes of their own: drawing takes as long as estimating, and waits for nobody."""
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # Not forked: the database and the frames run threads, which a fork would leave broken.
    with ProcessPoolExecutor(max_workers=HELPERS, mp_context=get_context("spawn")) as helpers:
        helpers.submit(warm_up)
        yield helpers
