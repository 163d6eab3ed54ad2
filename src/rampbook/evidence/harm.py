"""What the watch for harm found about one outcome of one change, and the words for it.

An alert names what rose and the way back. It never says why, and never how anybody is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any, Final

from rampbook.estimators.watch_measured import FALSE_ALARMS, shows_after

ALERT, EASED, QUIET, OVER, TOO_FEW, WAITING = "alert", "eased", "quiet", "over", "too few before", "waiting"
CAUTION: Final = (
    "Try it in clear space, with a spotter and an agreed stop; the maker's instructions and licensed practice come "
    "first."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchedChange:
    """A change that is in force, as the log has it."""

    change: str
    athlete: str
    profile: int
    setting: str
    old_value: float
    new_value: float
    on: date
    bundle: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """One harm outcome of one change.

    ``before`` and ``after`` are events an hour where ``per`` is "an hour", events a practice where it is "a practice",
    and mean ratings where it is "of 10"; None without practices. ``p`` belongs to the last look, None where nothing
    was tested. ``raised`` is the practice after the change at which the alert was raised, counted from 1. ``last_on``
    is the day of the last one looked at. ``also`` names, for alerts, what else happened from the change to then.
    """

    of: WatchedChange
    outcome: str
    kind: str
    harm: str
    state: str
    n_before: int
    n_after: int
    before: float | None
    after: float | None
    per: str
    p: float | None = None
    raised: int | None = None
    raised_on: date | None = None
    serious: bool = False
    events_a_practice: float = 0.0
    last_on: date | None = None
    also: tuple[str, ...] = ()

    @property
    def is_alert(self) -> bool:
        """Whether an alert stands."""
        return self.state == ALERT

    def to_dict(self) -> dict[str, Any]:
        """Return the parts as ``rampbook watch --json`` names them, unrounded, with the words."""
        out = asdict(self)
        of: dict[str, Any] = out.pop("of")
        return of | out | {"also": list(self.also), "way_back": way_back(self), "words": words(self)}


def way_back(watched: Watched) -> str:
    """Return the command that logs the return."""
    return f"rampbook goback {watched.of.bundle or watched.of.change}"


def words(watched: Watched) -> list[str]:
    """Say what was found, the gravest first: one sentence where all is quiet."""
    if watched.state == ALERT:
        return [what_rose(watched), go_back(watched), not_proof([watched])]
    return [f"{_name(watched.outcome)}: {_quiet(watched)}"]


def what_rose(watched: Watched) -> str:
    """Say what got worse, from what to what, in how many practices since which change."""
    of = watched.of
    more = " and others in one go" if of.bundle else ""
    what = f"{_setting(of)} {of.old_value:g} to {of.new_value:g}{more}, {of.athlete}, profile {of.profile}"
    since = f"bundle {of.bundle}" if of.bundle else of.change
    within = f"in {_practices(watched.n_after)} since {since} ({what})"
    if watched.serious:
        on = "" if watched.raised_on is None else f" on {watched.raised_on.isoformat()}"
        return f"Harm first: {_spoken(watched.outcome)} was logged{on}, {within}, and not before; one is enough."
    return f"Harm first: {_spoken(watched.outcome)} {_moved(watched)} {within}."


def go_back(watched: Watched) -> str:
    """Say to go back, to which value, and how; it never waits for statistics."""
    of = watched.of
    if of.bundle:
        return f"Go back on all of bundle {of.bundle}, made in one go, and log it: {way_back(watched)}. {CAUTION}"
    return f"Go back to the old value, {_setting(of)} {of.old_value:g}, and log it: {way_back(watched)}. {CAUTION}"


def not_proof(alerts: Sequence[Watched]) -> str:
    """Say what alerts do not show, what else happened since, and how often such an alert is false."""
    also = "; ".join(dict.fromkeys(text for watched in alerts for text in watched.also))
    since = f" That day or since, there was also: {also}." if also else ""
    tested = {watched.kind for watched in alerts if not watched.serious}
    return f"This is no proof that the change did it, and no finding about anybody's health.{since}{_how_often(tested)}"


def short(watched: Watched) -> list[str]:
    """Say an alert in two lines, for whoever has just logged a practice."""
    more = " It is no proof that the change did it: rampbook watch says more."
    return [what_rose(watched), go_back(watched) + more]


def _how_often(kinds: set[str]) -> str:
    if not kinds:
        return ""
    usual, worst = (max(FALSE_ALARMS[kind][i] for kind in kinds) for i in (0, 1))
    return (
        f" An alert is cheap on purpose: for a change that did nothing, about 1 outcome watched in {1 / usual:.0f} "
        f"raises one within 15 practices, up to 1 in {1 / worst:.0f} where bad days come in runs."
    )


def _quiet(watched: Watched) -> str:
    if watched.state == WAITING:
        return "nothing measured since the change yet."
    if watched.state == TOO_FEW:
        return f"only {_practices(watched.n_before)} with the old value, too few to compare; watch by eye."
    if watched.state == EASED:
        return (
            f"an alert was raised at practice {watched.raised} after the change, and later practices did not bear it "
            f"out ({_levels(watched)} in {_practices(watched.n_after)})."
        )
    seen = f"{_practices(watched.n_after)} ({_levels(watched)})"
    if watched.state == OVER:
        return f"no sign of harm in {seen}; the watch of this change is over."
    return f"no sign of harm so far in {seen}; {_would_show(watched)}."


def _would_show(watched: Watched) -> str:
    what = "a doubling" if watched.kind == "count" else f"{_two_points(watched)} of 2 points"
    after = shows_after(watched.kind, watched.n_before, watched.events_a_practice)
    if after is None:
        return f"{what} would often not show within 15 practices, so watch by eye as well"
    return f"{what} would show by about practice {after} half of the time, so watch by eye as well"


def _two_points(watched: Watched) -> str:
    return "a drop" if watched.harm == "lower" else "a rise"


def _moved(watched: Watched) -> str:
    return f"{'rose' if watched.harm == 'higher' else 'fell'} from {_levels(watched)}"


def _levels(watched: Watched) -> str:
    if watched.before is None or watched.after is None:
        return "not measured on both sides"
    return f"{watched.before:.1f} to {watched.after:.1f} {watched.per}"


def _practices(n: int) -> str:
    return f"{n} practice{'' if n == 1 else 's'}"


def _setting(of: WatchedChange) -> str:
    return of.setting.replace("_", " ")


def _spoken(outcome: str) -> str:
    return outcome.replace("_", " ")


def _name(outcome: str) -> str:
    spoken = _spoken(outcome)
    return spoken[:1].upper() + spoken[1:]
