"""The few use cases, each from the store to a result: the only place that joins the record and the estimate."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from rampbook.domain.season import parse_season
from rampbook.effect import Effect, as_effect, options_of
from rampbook.evidence.assess import assess
from rampbook.evidence.finding import Warned
from rampbook.evidence.harm import Watched, words
from rampbook.gather import Gathered, change_row, gather, outcomes_in_window
from rampbook.harm import alerts, watch
from rampbook.store import Store


def effect_of_change(
    store: Store,
    change: str,
    outcome: str | None = None,
    *,
    confidence: float = 0.95,
    worthwhile: float | None = None,
    better: str | None = None,
    trend: bool = True,
    sensitivity: bool = True,
    unaffected: str | None = None,
    until: int | None = None,
) -> Effect:
    """Estimate what one logged change did to one outcome.

    Parameters
    ----------
    store : Store
    change : str
        Id of the change.
    outcome : str, optional
        ``drill:NAME`` or the outcome's name; default the one measured in most practices of the window.
    confidence, worthwhile, better, trend, sensitivity, until
        As for `rampbook.estimate`.
    unaffected : str, optional
        An outcome that the change cannot affect: where it moves as well, something else changed at the same time.

    Raises
    ------
    EntryError
        When there is no such change, or nothing was measured around it.
    """
    gathered = gather(store, change, outcome, unaffected=unaffected)
    row = change_row(store, change)
    found = assessed(
        gathered,
        change,
        confidence=confidence,
        worthwhile=worthwhile,
        better=better,
        trend=trend,
        sensitivity=sensitivity,
        until=until,
    )
    return _harm_first(found, alerts(watch(store, row["athlete"], change=row["change"])))


def _harm_first(found: Effect, raised: list[Watched]) -> Effect:
    """Put the alerts of the watch for harm before all other warnings."""
    told = [Warned(code="harm_alert", message=" ".join(words(alert))) for alert in raised]
    return replace(found, warnings=(*told, *found.warnings)) if told else found


def assessed(gathered: Gathered, change: str, *, better: str | None = None, **options: Any) -> Effect:
    """Estimate from what was gathered."""
    chosen = options_of(better=better or gathered.better, **options)
    finding = assess(gathered.series, chosen, gathered.facts, gathered.labels, change=change, outcome=gathered.outcome)
    return as_effect(finding)


def effects_in_season(
    store: Store, athlete: str | None = None, season: str | None = None, *, every_outcome: bool = False
) -> list[Effect]:
    """Estimate every change of a season, in order of time, without the sensitivity table.

    A return to the old value belongs to the change it undoes and is not listed again, and a bundle is listed once,
    under its first change. A change around which nothing was measured is left out.

    Parameters
    ----------
    athlete : str, optional
        Code; default everybody.
    season : str, optional
        As `rampbook.domain.season.parse_season` reads it; default the whole record.
    every_outcome : bool
        Whether each measured outcome is estimated, or only the one with most practices.
    """
    first, last = _days(season)
    out: list[Effect] = []
    seen: set[str] = set()
    rows = store.rows("changes_in_season", athlete, first, last)
    for row in rows:
        change = str(row["change"])
        if change in seen:
            continue
        window, names = outcomes_in_window(store, change)
        seen |= _made_with({crossing.change for crossing in window.crossings}, rows)
        for name in names if every_outcome else names[:1]:
            out.append(effect_of_change(store, change, name, sensitivity=False))
    return out


def _made_with(changes: set[str], rows: list[dict[str, Any]]) -> set[str]:
    """Give changes with all that belong to a bundle of theirs."""
    bundles = {row["bundle"] for row in rows if row["change"] in changes} - {None}
    return changes | {str(row["change"]) for row in rows if row["bundle"] in bundles}


def _days(season: str | None) -> tuple[date | None, date | None]:
    if season is None:
        return None, None
    parsed = parse_season(season)
    return parsed.from_on, parsed.to_on
