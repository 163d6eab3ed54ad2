"""The view of runs and the query of a stretch of days, as rows in and rows out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from rampbook.store import Store, open_store

SHEETS = (
    'settings (entry, athlete, chair, profile, setting, value, "on", supersedes) values '
    "('s1', 'K01', 'C1', 1, 'deadband', 10, '2025-09-01', null), "
    # A reading that confirms the change, one that contradicts it, and one typed wrong and corrected.
    "('s2', 'K01', 'C1', 1, 'deadband', 12, '2025-10-20', null), "
    "('s3', 'K01', 'C1', 1, 'deadband', 13, '2025-11-03', null), "
    "('s4', 'K01', 'C1', 1, 'deadband', 99, '2025-11-10', null), "
    "('s5', 'K01', 'C1', 1, 'deadband', 13, '2025-11-10', 's4'), "
    # The same setting elsewhere: another chair, no chair, another profile.
    "('s6', 'K01', 'C2', 1, 'deadband', 20, '2025-10-05', null), "
    "('s7', 'K01', null, 1, 'deadband', 30, '2025-10-05', null), "
    "('s8', 'K01', 'C1', 2, 'deadband', 40, '2025-10-05', null)"
)
CHANGES = (
    'changes (change, athlete, chair, profile, setting, old_value, new_value, "on", "time", role, reason) values '
    "('c1', 'K01', 'C1', 1, 'deadband', 10, 11, '2025-10-01', null, 'coach', 'drifts'), "
    # Two in one day: the clock orders them, and the first was over before the day ended.
    "('c3', 'K01', 'C1', 1, 'deadband', 14, 12, '2025-10-13', '18:00', 'therapist', null), "
    "('c2', 'K01', 'C1', 1, 'deadband', 11, 14, '2025-10-13', '17:00', 'coach', 'a try')"
)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    opened = open_store(tmp_path / "club.duckdb")
    for rows in (SHEETS, CHANGES):
        opened.connection.execute(f"insert into {rows}")
    return opened


def stood(store: Store, first: str, last: str, chair: str | None = "C1", profile: int | None = 1) -> list[Any]:
    rows = store.rows("settings_in_days", "K01", first, last, profile, chair, None)
    return [(r["value"], str(r["since"]), r["change"]) for r in rows]


def test_a_reading_confirms_contradicts_or_was_never_there(store: Store) -> None:
    with store:
        rows = store.select(
            "select value, since::varchar as since, until::varchar as until, value_before, change, "
            "readings::varchar as readings from setting_runs where chair = 'C1' and profile = 1 order by place"
        )
    assert [tuple(row.values()) for row in rows] == [
        (10.0, "2025-09-01", "2025-10-01", None, None, "[2025-09-01]"),
        (11.0, "2025-10-01", "2025-10-13", 10.0, "c1", "[]"),
        (14.0, "2025-10-13", "2025-10-13", 11.0, "c2", "[]"),
        (12.0, "2025-10-13", "2025-11-03", 14.0, "c3", "[2025-10-20]"),
        (13.0, "2025-11-03", None, 12.0, None, "[2025-11-03, 2025-11-10]"),
    ]


def test_a_day_has_the_value_at_its_end(store: Store) -> None:
    with store:
        assert stood(store, "2025-08-31", "2025-08-31") == []
        assert stood(store, "2025-10-01", "2025-10-01") == [(11.0, "2025-10-01", "c1")]
        assert stood(store, "2025-10-12", "2025-10-12") == [(11.0, "2025-10-01", "c1")]
        assert stood(store, "2025-10-13", "2025-10-13") == [(12.0, "2025-10-13", "c3")]
        assert stood(store, "2025-12-24", "2025-12-24") == [(13.0, "2025-11-03", None)]


def test_october_has_every_value_of_october_and_no_other(store: Store) -> None:
    with store:
        # The value of September ended on the first day of October; c2 stood for an hour.
        assert stood(store, "2025-10-01", "2025-10-31") == [
            (11.0, "2025-10-01", "c1"),
            (14.0, "2025-10-13", "c2"),
            (12.0, "2025-10-13", "c3"),
        ]
        assert stood(store, "2025-11-01", "2025-11-30") == [(12.0, "2025-10-13", "c3"), (13.0, "2025-11-03", None)]
        checked = store.rows("settings_in_days", "K01", "2025-10-01", "2025-10-31", 1, "C1", None)
        assert [str(row["checked_on"]) for row in checked] == ["None", "None", "2025-10-20"]


def test_chairs_and_profiles_are_kept_apart_and_left_out_ones_mean_all(store: Store) -> None:
    with store:
        every = store.rows("settings_in_days", "K01", "2025-10-31", "2025-10-31", None, None, None)
        assert [(r["chair"], r["profile"], r["value"]) for r in every] == [
            (None, 1, 30.0),
            ("C1", 1, 12.0),
            ("C1", 2, 40.0),
            ("C2", 1, 20.0),
        ]
        assert store.rows("settings_in_days", "K01", "2025-10-31", "2025-10-31", None, None, "throw_left") == []
        assert store.rows("settings_in_days", "K02", "2025-10-31", "2025-10-31", None, None, None) == []


def test_each_value_carries_who_and_why(store: Store) -> None:
    with store:
        rows = store.rows("settings_in_days", "K01", "2025-10-01", "2025-10-31", 1, "C1", "deadband")
    assert [(r["role"], r["reason"], r["old_value"]) for r in rows] == [
        ("coach", "drifts", 10.0),
        ("coach", "a try", 11.0),
        ("therapist", None, 14.0),
    ]


def test_a_change_without_a_sheet_before_it_still_says_what_it_replaced(store: Store) -> None:
    with store:
        store.connection.execute(
            'insert into changes (change, athlete, chair, profile, setting, old_value, new_value, "on") '
            "values ('c9', 'K01', 'C9', 1, 'throw_left', 80, 70, '2025-10-02')"
        )
        (row,) = store.rows("settings_in_days", "K01", "2025-10-02", "2025-10-02", None, "C9", None)
    assert (row["value"], row["old_value"]) == (70.0, 80.0)
