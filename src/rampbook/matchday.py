"""The match-day check list of an athlete, gathered from a store. Nothing heavy is loaded here."""

from __future__ import annotations

from datetime import date
from typing import Any

from rampbook.domain.cautions import cautions
from rampbook.domain.speed import DIRECTIONS
from rampbook.domain.speed_card import SpeedCard
from rampbook.harm import alerts, watch
from rampbook.reports.matchday import MatchDay
from rampbook.store import Store
from rampbook.store.speed import limits_on, match_profile, passes_of, speed_card


def match_day(store: Store, athlete: str, on: date) -> MatchDay:
    """Return the check list of one athlete as the record stands on a day.

    The profile is the one that the club has stated for matches; without that, the one of the latest pass, forward
    before backward on one day.
    """
    rows = passes_of(store, athlete, on)
    profile, known_from, since, chair = _profile(match_profile(store, athlete, on), rows)
    limits = limits_on(store, on)
    cards: tuple[SpeedCard, ...] = ()
    if profile is not None:
        cards = tuple(
            speed_card(store, athlete, way, profile=profile, limits=limits, until=on, chair=chair)
            for way in DIRECTIONS
        )
    return MatchDay(
        athlete=athlete, on=on, profile=profile, profile_from=known_from, profile_since=since, chair=chair,
        cards=cards, elsewhere=tuple(sorted({row["profile"] for row in rows} - {profile})),
        alerts=tuple(alerts(watch(store, athlete, until=on))), cautions=tuple(cautions()),
    )  # fmt: skip


def _profile(
    stated: dict[str, Any] | None, rows: list[dict[str, Any]]
) -> tuple[int | None, str | None, date | None, str | None]:
    """Return the profile, how it is known, since when, and its chair."""
    if stated is not None:
        return stated["profile"], "stated", stated["on"], stated["chair"]
    if not rows:
        return None, None, None, None
    latest = max(rows, key=lambda row: (row["on"], row["direction"] == "forward"))
    return latest["profile"], "latest pass", latest["on"], latest["chair"]
