"""The watch on the invented club: the change that did harm is seen in its first practice, the others stay quiet."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from rampbook.domain.outcomes import harm_direction, is_serious
from rampbook.evidence.harm import ALERT
from rampbook.harm import _steps_back, _with_what_else, alerts, watch
from rampbook.store import Store, open_store
from rampbook.store.load import load_paths

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from demo_data import club  # noqa: E402


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    folder = tmp_path_factory.mktemp("club")
    club.write_tables(folder / "sheets")
    with open_store(folder / "club.duckdb") as store:
        load_paths(store, [folder / "sheets"])
        yield store


def test_the_change_that_did_harm_raises_an_alert_in_its_first_practice(season: Store) -> None:
    (alert,) = alerts(watch(season, "K03", until=date(2025, 12, 4)))
    assert (alert.of.change, alert.outcome, alert.raised, alert.n_after) == ("C04", "collisions", 1, 3)
    assert alert.before is not None and alert.after is not None and alert.after > 2 * alert.before


def test_the_alert_stands_until_the_setting_goes_back(season: Store) -> None:
    (alert,) = alerts(watch(season, "K03", until=date(2026, 2, 26)))
    assert (alert.raised, alert.raised_on) == (1, date(2025, 11, 27))
    assert watch(season, "K03", until=date(2026, 2, 27)) == []


def test_no_other_change_of_the_season_raises_an_alert_at_its_end(season: Store) -> None:
    found = watch(season)
    assert alerts(found) == []
    changes = {watched.of.change for watched in found}
    assert changes == {"C01", "C02", "C03", "C06", "C07", "C08", "C09", "C12", "C13", "C14", "C15"}
    assert {watched.outcome for watched in found} == {"collisions", "comfort", "control", "pain"}


def test_what_else_happened_since_is_named_beside_an_alert(season: Store) -> None:
    logged = season.rows("changes_with_sheet", None, None)
    forced = {w.of.change: replace(w, state=ALERT) for w in watch(season) if w.outcome == "collisions"}
    also = {w.of.change: w.also for w in _with_what_else(season, list(forced.values()), logged)}
    assert any("another joystick" in text for text in also["C13"])
    assert "turn acceleration max 55 to 62 on 2025-12-08" in also["C06"]
    assert all(watched.also == () for watched in watch(season) if not watched.is_alert)


def test_a_change_that_went_back_and_forth_is_compared_with_the_practices_in_between(season: Store) -> None:
    (collisions,) = [watched for watched in watch(season, change="C12") if watched.outcome == "collisions"]
    assert collisions.n_before == 9 and collisions.n_after == 10


def test_the_last_look_alone_agrees_with_all_looks(season: Store) -> None:
    whole = watch(season, "K02")
    assert [watched.p for watched in watch(season, "K02", last_only=True)] == [watched.p for watched in whole]


@pytest.mark.parametrize(
    ("kind", "outcome", "harm"),
    [
        ("count", "collisions", "higher"), ("count", "wall hits of mine", "higher"), ("count", "Goals", None),
        ("rating", "Comfort", "lower"), ("rating", "pain", "higher"), ("rating", "fun", None),
        ("time", "drill:gate", None), ("success", "passes", None),
    ],
)  # fmt: skip
def test_which_outcomes_are_watched_and_which_way(kind: str, outcome: str, harm: str | None) -> None:
    assert harm_direction(kind, outcome) == harm


def test_serious_events_are_known_however_they_are_written() -> None:
    assert is_serious("Loss of control") and is_serious("tip-over") and is_serious("injury")
    assert not is_serious("collisions")


def test_steps_back_end_even_in_a_circle() -> None:
    assert _steps_back("C3", {"C3": "C2", "C2": "C1", "C1": None}) == 2
    assert _steps_back("C1", {"C1": "C2", "C2": "C1"}) == 1
