"""What the season review shows, ready to be rendered: every value on the page is a field here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from rampbook.evidence.finding import Finding
from rampbook.evidence.harm import Watched

# The order in which a reader meets the findings: what was settled first, what is open last.
SETTLED_FIRST = ("worse", "traded", "better", "no worthwhile", "cannot tell")


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """An SVG, one for a telephone where there is one, and the words that stand for both."""

    svg: str
    alt: str
    narrow_svg: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewedOutcome:
    """One finding of a change, its picture, and its p after Holm where the change has several."""

    finding: Finding
    picture: Picture
    p_adjusted: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewedChange:
    """One logged change and what was found about it; no ``outcomes`` where nothing could be compared."""

    change: str
    athlete: str
    chair: str | None
    profile: int
    setting: str
    old_value: float
    new_value: float
    on: date
    role: str | None
    reason: str | None
    planned: int | None
    goes_back_to: str | None
    bundle: str | None = None
    outcomes: tuple[ReviewedOutcome, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CollisionRow:
    """One athlete's collisions over the practices in which they were counted with minutes."""

    athlete: str
    practices: int
    count: int
    minutes: float

    @property
    def per_hour(self) -> float | None:
        """Collisions an hour of counted practice; None without minutes."""
        return 60 * self.count / self.minutes if self.minutes else None


@dataclass(frozen=True, slots=True, kw_only=True)
class CompletenessRow:
    """How much of one athlete's season was written down, in practices."""

    athlete: str
    practices: int
    with_outcome: int
    with_attempts: int
    with_collisions: int
    with_ratings: int
    with_battery: int

    @property
    def without_outcome(self) -> int:
        """Practices with nothing measured."""
        return self.practices - self.with_outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAsideRow:
    """A row that loading could not use."""

    file: str
    row: int | None
    column: str | None
    value: str | None
    reason: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonReview:
    """The season-end review of one athlete, or of the squad when ``athlete`` is None.

    ``made_at`` is passed in, never read from a clock here, so that the same record gives the same page.
    ``from_on`` and ``to_on`` bound the season asked for; ``first_on`` and ``last_on`` are the first and last
    practice that were found in it. ``alerts`` are those of the watch for harm that stand at its end.
    """

    athlete: str | None
    season: str
    from_on: date
    to_on: date
    first_on: date | None
    last_on: date | None
    made_at: datetime
    version: str
    changes: tuple[ReviewedChange, ...]
    forest: Picture | None
    collisions: tuple[CollisionRow, ...]
    completeness: tuple[CompletenessRow, ...]
    set_aside: tuple[SetAsideRow, ...]
    row_counts: tuple[tuple[str, int], ...]
    cautions: tuple[str, ...]
    alerts: tuple[Watched, ...] = ()

    @property
    def findings(self) -> list[tuple[ReviewedChange, ReviewedOutcome]]:
        """Every change with each of its outcomes, what was settled first; then by day."""
        pairs = [(change, outcome) for change in self.changes for outcome in change.outcomes]
        return sorted(pairs, key=lambda pair: (_settled_rank(pair[1].finding), pair[0].on, pair[0].change))

    @property
    def n_comparisons(self) -> int:
        """How many comparisons were looked at for this page."""
        return sum(len(change.outcomes) for change in self.changes)

    @property
    def returns(self) -> list[ReviewedChange]:
        """The changes that took an earlier one back."""
        return [change for change in self.changes if change.goes_back_to]

    def crossings_of(self, change: str) -> list[ReviewedChange]:
        """Return the changes that went back on this one, and back again, in order of time."""
        known, found = {change}, []
        for back in self.returns:
            if back.goes_back_to in known:
                known.add(back.change)
                found.append(back)
        return found

    def made_with(self, change: ReviewedChange) -> list[ReviewedChange]:
        """Return the other changes of the bundle that a change belongs to, in order of time."""
        return [other for other in self.changes if change.bundle is not None and _of_one_bundle(other, change)]

    def told_elsewhere(self, change: ReviewedChange) -> bool:
        """Whether a change is one of a bundle that is told of under another of its changes."""
        return not change.outcomes and any(other.outcomes for other in self.made_with(change))

    @property
    def open_questions(self) -> list[tuple[ReviewedChange, ReviewedOutcome]]:
        """Findings that the record cannot settle yet."""
        return [pair for pair in self.findings if is_open(pair[1].finding)]

    @property
    def not_compared(self) -> list[ReviewedChange]:
        """Changes for which nothing could be estimated at all, returns left out."""
        return [
            change
            for change in self.changes
            if not change.outcomes and not change.goes_back_to and not self.told_elsewhere(change)
        ]


def _of_one_bundle(other: ReviewedChange, change: ReviewedChange) -> bool:
    return other.bundle == change.bundle and other.change != change.change


def is_open(finding: Finding) -> bool:
    """Whether the question that the change asked is still without an answer."""
    return finding.estimate is None or finding.verdict.startswith("cannot tell") or finding.rung == "noted"


def _settled_rank(finding: Finding) -> int:
    if finding.rung == "noted":
        return len(SETTLED_FIRST)
    ranks = [i for i, start in enumerate(SETTLED_FIRST) if finding.verdict.startswith(start)]
    return ranks[0] if ranks else len(SETTLED_FIRST)
