"""The days of a chair came later than its table: an older store gets them, keeps its rows, and can be told them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from rampbook.domain.chairs import baselines, chairs_from
from rampbook.store import migrate, open_store
from rampbook.store.queries import check_store
from rampbook.store.saved import record_rows
from rampbook.store.sqlfiles import sql_files


@pytest.fixture
def old_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store as the first two migrations left it, with two chairs and a sheet."""
    path = tmp_path / "club.duckdb"
    with monkeypatch.context() as then:
        then.setattr(migrate, "sql_files", lambda kind: sql_files(kind)[:2] if kind == "migrations" else [])
        with open_store(path) as store:
            store.connection.execute("insert into athletes (entry, athlete, consent) values ('K01', 'K01', 'club')")
            store.connection.execute(
                "insert into chairs (entry, chair, athlete, scale) values ('C1', 'C1', 'K01', 'S1')"
            )
            store.connection.execute(
                'insert into settings (entry, athlete, chair, profile, setting, value, "on") '
                "values ('s', 'K01', 'C1', 1, 'deadband', 5, '2026-01-05')"
            )
    return path


def test_an_older_store_keeps_its_chairs_and_can_be_told_their_days(old_store: Path) -> None:
    with open_store(old_store) as store:
        chair = chairs_from(store.rows("chairs_of_athlete", "K01"))[0]
        assert (chair.chair, chair.scale, chair.since, chair.read_on) == ("C1", "S1", None, date(2026, 1, 5))
        record_rows(store, {"chairs": [{"chair": "C1", "athlete": "K01", "scale": "S1", "until": "2026-03-01",
                                        "supersedes": "C1"}]})  # fmt: skip
    with open_store(old_store) as store:
        chairs = chairs_from(store.rows("chairs_of_athlete", "K01"))
        assert [(one.chair, one.until) for one in chairs] == [("C1", date(2026, 3, 1))]
        assert [line.on for line in baselines(chairs)] == [date(2026, 3, 2)]
        assert check_store(store) == []


def test_a_chair_that_two_athletes_have_a_sheet_of_is_listed_for_both(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        sheet = {"chair": "C1", "profile": 1, "setting": "deadband", "value": 5, "on": "2026-01-05"}
        record_rows(store, {
            "athletes": [{"athlete": code, "consent": "club"} for code in ("K01", "K02")],
            "chairs": [{"chair": "C1", "scale": "S1"}],
            "settings": [sheet | {"athlete": code} for code in ("K01", "K02")],
        })  # fmt: skip
        for code in ("K01", "K02"):
            assert [(row["chair"], row["scale"]) for row in store.rows("chairs_of_athlete", code)] == [("C1", "S1")]


def test_a_chair_stated_for_one_athlete_lends_its_days_to_nobody_else(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        record_rows(store, {
            "athletes": [{"athlete": code, "consent": "club"} for code in ("K01", "K02")],
            "chairs": [{"chair": "C1", "athlete": "K01", "since": "2026-02-01"}],
            "settings": [{"athlete": "K02", "chair": "C1", "profile": 1, "setting": "deadband", "value": 5,
                          "on": "2026-01-05"}],
        })  # fmt: skip
        assert [row["since"] for row in store.rows("chairs_of_athlete", "K02")] == [None]
        assert [row["since"] for row in store.rows("chairs_of_athlete", "K01")] == [date(2026, 2, 1)]
