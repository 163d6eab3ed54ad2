"""The four kinds of outcome and how each is spoken of: one closed list, read by every layer above."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

KindName = Literal["time", "count", "rating", "success"]
Better = Literal["lower", "higher"]
Scale = Literal["ratio", "points"]

RATING_LOW, RATING_HIGH = 0.0, 10.0
KMH_PER_M_S = 3.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of outcome.

    Attributes
    ----------
    name : str
        ``time``, ``count``, ``rating`` or ``success``.
    estimand : str
        What the effect is: a ratio of times, a rate ratio, an odds ratio, or points.
    scale : str
        ``ratio`` (log or logit link; 1 means no effect) or ``points`` (identity link; 0 means no effect).
    better : str
        The direction that is better unless the user says otherwise.
    axis : str
        The title of the value axis of a picture.
    better_word, worse_word : str
        The direction of an effect in words.
    """

    name: KindName
    estimand: str
    scale: Scale
    better: Better
    axis: str
    more_word: str
    less_word: str

    @property
    def no_effect(self) -> float:
        """The value of the estimate that means no effect: 1 on the ratio scale, 0 in points."""
        return 1.0 if self.scale == "ratio" else 0.0


KINDS: dict[str, Kind] = {
    "time": Kind(
        name="time",
        estimand="ratio of times",
        scale="ratio",
        better="lower",
        axis="seconds",
        more_word="slower",
        less_word="faster",
    ),
    "count": Kind(
        name="count",
        estimand="rate ratio",
        scale="ratio",
        better="lower",
        axis="count for each unit of exposure",
        more_word="more often",
        less_word="less often",
    ),
    "rating": Kind(
        name="rating",
        estimand="points",
        scale="points",
        better="higher",
        axis="rating, 0 to 10",
        more_word="rated higher",
        less_word="rated lower",
    ),
    "success": Kind(
        name="success",
        estimand="odds ratio",
        scale="ratio",
        better="higher",
        axis="share of tries that succeeded",
        more_word="more often successful",
        less_word="less often successful",
    ),
}
