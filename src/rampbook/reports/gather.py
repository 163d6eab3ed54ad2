"""Gathers what the season review shows: rows of the store, findings, and their pictures."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from typing import Any

from rampbook.domain.cautions import cautions
from rampbook.domain.season import Season
from rampbook.estimators.many import holm
from rampbook.evidence.finding import Finding
from rampbook.evidence.harm import Watched
from rampbook.reports.season import (
    CollisionRow,
    CompletenessRow,
    Picture,
    ReviewedChange,
    ReviewedOutcome,
    SeasonReview,
    SetAsideRow,
)
from rampbook.store import Store

COMPLETENESS = (
    "athlete",
    "practices",
    "with_outcome",
    "with_attempts",
    "with_collisions",
    "with_ratings",
    "with_battery",
)


def gather_review(
    store: Store,
    findings: Sequence[Finding],
    *,
    athlete: str | None,
    season: Season,
    made_at: datetime,
    version: str,
    draw: Callable[[Finding], Picture],
    draw_all: Callable[[Sequence[Finding]], Picture],
    alerts: Sequence[Watched] = (),
) -> SeasonReview:
    """Return the review of one athlete, or of the squad.

    Parameters
    ----------
    store : Store
        The club's record.
    findings : sequence of Finding
        What was found about the changes of the season; each names its ``change`` and its ``outcome``.
    athlete : str or None
        The athlete's code; None for the squad.
    season : Season
        The days that are looked at.
    made_at : datetime
        The moment that the page bears.
    version : str
        The version of Rampbook that made it.
    draw, draw_all : callable
        Draw one finding, and all of them side by side.
    alerts : sequence of Watched
        The alerts of the watch for harm that stand at the end of the season.
    """
    asked = (athlete, season.from_on, season.to_on)
    rows = store.rows("review_completeness", *asked)
    changes = [_change(row, findings, draw) for row in store.rows("review_changes", *asked)]
    shown = [outcome.finding for change in changes for outcome in change.outcomes]
    return SeasonReview(
        athlete=athlete,
        season=season.name,
        from_on=season.from_on,
        to_on=season.to_on,
        first_on=min((row["first_on"] for row in rows), default=None),
        last_on=max((row["last_on"] for row in rows), default=None),
        made_at=made_at,
        version=version,
        changes=tuple(changes),
        forest=draw_all(shown) if shown else None,
        collisions=tuple(CollisionRow(**row) for row in store.rows("review_collisions", *asked)),
        completeness=tuple(CompletenessRow(**{name: row[name] for name in COMPLETENESS}) for row in rows),
        set_aside=tuple(SetAsideRow(**row) for row in store.rows("review_set_aside", athlete)),
        row_counts=tuple((row["table"], row["rows"]) for row in store.rows("review_row_counts", *asked)),
        cautions=_cautions(changes),
        alerts=tuple(alerts),
    )


def _change(row: dict[str, Any], findings: Iterable[Finding], draw: Callable[[Finding], Picture]) -> ReviewedChange:
    mine = [finding for finding in findings if finding.change == row["change"]]
    several = len([finding for finding in mine if finding.p is not None]) > 1
    adjusted = holm([finding.p for finding in mine]) if several else [None] * len(mine)
    outcomes = tuple(
        ReviewedOutcome(finding=finding, picture=draw(finding), p_adjusted=p)
        for finding, p in zip(mine, adjusted, strict=True)
    )
    return ReviewedChange(**row, outcomes=outcomes)


def _cautions(changes: Iterable[ReviewedChange]) -> tuple[str, ...]:
    """Return the lines that always stand, then those that the settings of this season call for."""
    lines = cautions()
    for change in changes:
        lines += cautions(change.setting, old=change.old_value, new=change.new_value)
    return tuple(dict.fromkeys(lines))
