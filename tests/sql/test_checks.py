"""Each check finds the fault it is for, and only that; a sound store passes them all."""

from __future__ import annotations

from pathlib import Path

import pytest

from rampbook.store import open_store
from rampbook.store.queries import check_store
from rampbook.store.sqlfiles import sql_files

ATHLETE = "athletes (entry, athlete, consent) values ('K01', 'K01', 'club'), ('K02', 'K02', 'club')"
SHEET = (
    'settings (entry, athlete, profile, setting, value, "on") values '
    "('s1', 'K01', 1, 'forward_speed_max', 60, '2026-01-01'), ('s2', 'K01', 1, 'reverse_speed_max', 40, '2026-01-01')"
)
CHANGE = (
    'changes (change, athlete, profile, setting, old_value, new_value, "on") values '
    "('c1', 'K01', 1, 'forward_speed_max', 60, 50, '2026-02-01')"
)
PRACTICE = "practices (practice, athlete, \"on\") values ('p1', 'K01', '2026-01-05'), ('q1', 'K02', '2026-01-05')"
ATTEMPT = "attempts (attempt, practice, athlete, drill, seconds) values ('a1', 'p1', 'K01', 'spin', 9)"
SOUND = (ATHLETE, SHEET, CHANGE, PRACTICE, ATTEMPT)
CHANGED = 'changes (change, athlete, profile, setting, old_value, new_value, "on"{}) values {}'

FAULTS = {
    "id_used_twice": ATTEMPT.replace("9)", "8)"),
    "correction_of_nothing": "attempts (attempt, practice, athlete, drill, supersedes) "
    "values ('a2', 'p1', 'K01', 'd', 'z')",
    "row_corrected_twice": "attempts (attempt, practice, athlete, drill, supersedes) "
    "values ('a2', 'p1', 'K01', 'd', 'a1'), ('a3', 'p1', 'K01', 'd', 'a1')",
    "athlete_not_recorded": "events (entry, athlete, \"on\", event) values ('e1', 'K77', '2026-01-01', 'tyres')",
    "practice_not_recorded": "attempts (attempt, practice, athlete, drill) values ('a2', 'p77', 'K01', 'd')",
    "athlete_of_another_practice": "attempts (attempt, practice, athlete, drill) values ('a2', 'q1', 'K01', 'd')",
    "old_value_not_on_sheet": CHANGED.format("", "('c2', 'K01', 1, 'forward_speed_max', 60, 55, '2026-03-01')"),
    "value_out_of_bounds": CHANGED.format("", "('c2', 'K01', 1, 'forward_speed_max', 50, 150, '2026-03-01')"),
    "return_to_nothing": CHANGED.format(
        ", goes_back_to", "('c2', 'K01', 1, 'forward_speed_max', 50, 60, '2026-03-01', 'c77')"
    ),
    "sheet_breaks_a_rule": CHANGED.format("", "('c2', 'K01', 1, 'forward_speed_max', 50, 30, '2026-03-01')"),
    "setting_stated_twice": "catalogue (entry, setting, unit, low, high) values ('d', 'deadband', '1', 0, 50)",
    "sample_of_no_run": "run_samples (run, sample, time_s, speed_m_s) values ('r77', 1, 0, 0)",
    "chair_left_before_it_came": "chairs (entry, chair, since, until) values ('w', 'w', '2026-02-01', '2026-01-01')",
    "bundle_in_two_places": CHANGED.format(
        ", bundle",
        "('c2', 'K01', 1, 'forward_speed_max', 50, 55, '2026-03-01', 'b'), "
        "('c3', 'K01', 1, 'reverse_speed_max', 40, 45, '2026-03-02', 'b')",
    ),
    "athlete_stated_twice": "athletes (entry, athlete, consent) values ('x', 'K01', 'pool')",
}


def test_sound_store_passes_every_check(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        for insert in SOUND:
            store.connection.execute(f"insert into {insert}")
        assert check_store(store) == []


@pytest.mark.parametrize("name", list(FAULTS))
def test_check_finds_its_fault(tmp_path: Path, name: str) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        for insert in (*SOUND, FAULTS[name]):
            store.connection.execute(f"insert into {insert}")
        assert [problem.check for problem in check_store(store)] == [name]


def test_numbers_that_cannot_be_are_found_behind_the_constraints(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        for insert in SOUND:
            store.connection.execute(f"insert into {insert}")
        # The table's own constraints keep such a number out, so the check is shown a table without them.
        store.connection.execute("create temp table attempts as select * from main.attempts")
        store.connection.execute("update temp.attempts set seconds = 'nan'")
        check = next(file for file in sql_files("checks") if file.stem == "number_not_finite")
        assert store.select(check.read_text(encoding="utf-8")) == [{"in_table": "attempts", "id": "a1"}]


def test_every_check_is_tried() -> None:
    names = {file.stem for file in sql_files("checks")} | {"sheet_breaks_a_rule"}
    assert names == FAULTS.keys() | {"number_not_finite"}
