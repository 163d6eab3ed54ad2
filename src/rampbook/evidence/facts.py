"""What the record shows around a change, beside the outcome itself: all that may cap a claim."""

from __future__ import annotations

from dataclasses import dataclass, field

from rampbook.evidence.finding import ChangeMark, EventMark


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Facts of the design and of the record; the default is a bare table that shows none of them.

    Attributes
    ----------
    simultaneous : tuple of str
        Other settings changed on the same day on the same profile, in words.
    bundle : str or None
        The id under which they were logged in one go; None where they were logged one by one.
    disturbances : tuple of str
        Events, a change of timer or of layout within the window, in words.
    reacting : bool or None
        Whether the change was made because something had gone badly; None when not recorded.
    drawn_by_lot, declared : bool
        Whether the moments were drawn by lot, and the outcome declared, beforehand.
    nothing_changed : str or None
        Why the chair's effective response did not change at all, in words.
    touches : tuple of float or None
        Ratio of touches per attempt, new over old, with its 80% interval (ratio, low, high).
    outcomes_measured : int
        How many outcomes were measured around the change; with several and none declared, one can be picked.
    new_baselines : tuple of str
        Where a change of chair cuts the practices, in sentences; what lies beyond is left out.
    two_chairs : str or None
        That another chair was in use as well, in words, so that the practices may be of either.
    """

    simultaneous: tuple[str, ...] = ()
    bundle: str | None = None
    disturbances: tuple[str, ...] = ()
    reacting: bool | None = None
    drawn_by_lot: bool = False
    declared: bool = False
    nothing_changed: str | None = None
    touches: tuple[float, float, float] | None = None
    outcomes_measured: int = 1
    new_baselines: tuple[str, ...] = ()
    two_chairs: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Labels:
    """Words and marks of the picture; ``per`` turns a rate into the one shown (60 for minutes to hours).

    ``unaffected`` is the name of the outcome that the change cannot affect.
    """

    title: str = "One change"
    outcome: str = "the outcome"
    axis: str | None = None
    old: str = "old setting"
    new: str = "new setting"
    control: str = "untouched series"
    unaffected: str = "unaffected"
    per: float = 1.0
    changes: tuple[ChangeMark, ...] | None = None
    events: tuple[EventMark, ...] = field(default=())
