"""What the views give back, as rows in and rows out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rampbook.store import Store, open_store


def filled(path: Path, *inserts: str) -> Store:
    store = open_store(path / "club.duckdb")
    for insert in inserts:
        store.connection.execute(f"insert into {insert}")
    return store


SHEET = (
    'settings (entry, athlete, chair, profile, setting, value, "on") values '
    "('s1', 'K01', 'C1', 1, 'deadband', 10, '2026-01-01'), ('s2', 'K01', 'C1', 1, 'throw_left', 70, '2026-01-01')"
)
CHANGES = (
    'changes (change, athlete, chair, profile, setting, old_value, new_value, "on", "time", supersedes) values '
    "('c1', 'K01', 'C1', 1, 'deadband', 10, 12, '2026-02-01', '18:00', null), "
    "('c2', 'K01', 'C1', 1, 'deadband', 12, 15, '2026-03-01', null, null), "
    "('c3', 'K01', 'C1', 1, 'deadband', 12, 14, '2026-03-02', null, 'c2')"
)
PRACTICES = (
    'practices (practice, athlete, "on", "time") values '
    "('p1', 'K01', '2026-01-15', null), ('p2', 'K01', '2026-02-01', '17:00'), ('p3', 'K01', '2026-02-01', '19:00'), "
    "('p4', 'K01', '2026-02-01', null), ('p5', 'K01', '2026-03-10', null), ('q1', 'K02', '2026-02-01', null)"
)
ATTEMPTS = (
    "attempts (attempt, practice, athlete, profile, drill, seconds) "
    "select 'a' || practice, practice, athlete, 1, 'spin', 9 from practices"
)


def sheet(store: Store, day: str) -> dict[str, tuple[Any, ...]]:
    return {
        row["setting"]: (row["value"], str(row["since"]), row["change"])
        for row in store.rows("setting_sheet", "K01", day, 1)
    }


def test_sheet_as_it_stood_on_any_day(tmp_path: Path) -> None:
    with filled(tmp_path, SHEET, CHANGES) as store:
        assert sheet(store, "2025-12-31") == {}
        throw = {"throw_left": (70.0, "2026-01-01", None)}
        assert sheet(store, "2026-01-31") == {"deadband": (10.0, "2026-01-01", None)} | throw
        assert sheet(store, "2026-02-01") == {"deadband": (12.0, "2026-02-01", "c1")} | throw
        assert sheet(store, "2026-03-01") == {"deadband": (12.0, "2026-02-01", "c1")} | throw
        assert sheet(store, "2026-03-02") == {"deadband": (14.0, "2026-03-02", "c3")} | throw
        assert store.rows("setting_sheet", "K01", "2026-03-02", 2) == []


def test_history_has_one_row_for_each_value_and_no_gaps(tmp_path: Path) -> None:
    with filled(tmp_path, SHEET, CHANGES) as store:
        rows = store.select(
            "select value, since::varchar as since, until::varchar as until, change from setting_history "
            "where setting = 'deadband' order by place"
        )
        assert [tuple(row.values()) for row in rows] == [
            (10.0, "2026-01-01", "2026-02-01", None),
            (12.0, "2026-02-01", "2026-03-02", "c1"),
            (14.0, "2026-03-02", None, "c3"),
        ]


def test_practice_on_the_day_of_the_change_is_after_it_unless_the_clock_says_otherwise(tmp_path: Path) -> None:
    with filled(tmp_path, SHEET, CHANGES, PRACTICES) as store:
        rows = store.rows("practices_around_change", "c1")
        assert [(row["practice"], row["days_after"], row["side"]) for row in rows] == [
            ("p1", -17, "before"),
            ("p4", 0, "after"),
            ("p2", 0, "before"),
            ("p3", 0, "after"),
            ("p5", 37, "after"),
        ]


def test_attempts_carry_the_settings_then_in_force(tmp_path: Path) -> None:
    with filled(tmp_path, SHEET, CHANGES, PRACTICES, ATTEMPTS) as store:
        rows = store.select(
            "select practice, settings['deadband'] as deadband from attempts_in_force order by practice"
        )
        assert [tuple(row.values()) for row in rows] == [
            ("p1", 10.0),
            ("p2", 10.0),
            ("p3", 12.0),
            ("p4", 12.0),
            ("p5", 14.0),
            ("q1", None),
        ]


def test_attempt_keeps_one_row_for_an_athlete_with_two_chairs(tmp_path: Path) -> None:
    second = (
        'settings (entry, athlete, chair, profile, setting, value, "on") values '
        "('s3', 'K01', 'C2', 1, 'deadband', 20, '2026-03-05')"
    )
    with filled(tmp_path, SHEET, CHANGES, second, PRACTICES, ATTEMPTS) as store:
        rows = store.select("select practice, chair from attempts_in_force where athlete = 'K01' order by practice")
        assert [tuple(row.values()) for row in rows] == [
            ("p1", "C1"),
            ("p2", "C1"),
            ("p3", "C1"),
            ("p4", "C1"),
            ("p5", "C2"),
        ]
