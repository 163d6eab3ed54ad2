"""The door to Altair: the only module of the charts that imports it; drawing without it is quick."""

from __future__ import annotations

from typing import Any

import altair as alt


class Picture(alt.VConcatChart):  # type: ignore[misc]  # Altair is not read by the type checker
    """A finished picture as an Altair chart: shows itself in a notebook, and saves as any chart does.

    The parts stay plain dictionaries. ``VConcatChart.from_dict`` would turn each into objects first, which
    takes seconds for a picture of this many layers and changes nothing in what is drawn.
    """

    def __init__(self, **spec: Any) -> None:
        alt.TopLevelMixin.__init__(self)
        super(alt.VConcatChart, self).__init__(**spec)
