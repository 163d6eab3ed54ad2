"""The tables of measured speeds: an older store gets them and keeps its rows, and the checks look into them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import duckdb
import pytest

from rampbook.store import migrate, open_store
from rampbook.store.load import load_paths
from rampbook.store.queries import check_store
from rampbook.store.saved import record_rows
from rampbook.store.speed import limits_on, match_profile, passes_of
from rampbook.store.sqlfiles import sql_files, sql_folder

PASS = {
    "athlete": "K01", "chair": "C1", "profile": 1, "direction": "forward", "on": "2026-02-01", "gate_m": 19.5,
    "seconds": 7.1, "method": "stopwatch", "timer": "T1",
}  # fmt: skip


def store_at_migration_two(path: Path) -> None:
    """Make a store as the version before measured speeds made it, with one row."""
    with duckdb.connect(str(path)) as old:
        old.execute((sql_folder() / "migration_log.sql").read_text(encoding="utf-8"))
        for file in sql_files("migrations")[:2]:
            text = file.read_text(encoding="utf-8")
            old.execute(text)
            stamp = [file.stem, migrate.checksum(text)]
            old.execute("insert into migration_log (name, checksum) values (?, ?)", stamp)
        old.execute("insert into athletes (entry, athlete, consent) values ('K01', 'K01', 'club')")
        old.execute("insert into events (entry, athlete, \"on\", event) values ('e', 'K01', '2026-01-01', 'tyres')")


def test_an_older_store_opens_keeps_its_rows_and_takes_a_pass(tmp_path: Path) -> None:
    store_at_migration_two(tmp_path / "club.duckdb")
    with open_store(tmp_path / "club.duckdb") as store:
        assert [row["event"] for row in store.rows("events_of_athlete", "K01")] == ["tyres"]
        record_rows(store, {"speed_passes": [PASS]})
    with open_store(tmp_path / "club.duckdb") as store:
        assert [row["seconds"] for row in passes_of(store, "K01")] == [7.1]
        assert check_store(store) == []


def test_a_correction_takes_the_place_of_a_pass_and_both_stay(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        record_rows(store, {"athletes": [{"athlete": "K01", "consent": "club"}]})
        entry = record_rows(store, {"speed_passes": [PASS]}).ids["speed_passes"][0]
        record_rows(store, {"speed_passes": [PASS | {"seconds": 7.4, "supersedes": entry}]})
        assert [row["seconds"] for row in passes_of(store, "K01")] == [7.4]
        assert store.select("select count(*) as n from speed_passes") == [{"n": 2}]


def test_limit_and_match_profile_are_those_of_the_day(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        record_rows(store, {
            "athletes": [{"athlete": "K01", "consent": "club"}],
            "speed_limits": [
                {"direction": "reverse", "limit_kmh": 8, "on": "2026-02-01"},
                {"direction": "reverse", "limit_kmh": 6, "on": "2026-03-01"},
            ],
            "match_profiles": [{"athlete": "K01", "profile": n, "on": f"2026-0{n}-01"} for n in (2, 3)],
        })  # fmt: skip
        days = [date(2026, month, 15) for month in (1, 2, 3)]
        assert [limits_on(store, day)["reverse"].kmh for day in days] == [10, 8, 6]
        assert [limits_on(store, day)["forward"].kmh for day in days] == [10, 10, 10]
        found = [match_profile(store, "K01", day) for day in days]
        assert [None if row is None else row["profile"] for row in found] == [None, 2, 3]


def test_headings_as_clubs_write_them_are_understood(tmp_path: Path) -> None:
    (tmp_path / "speed_passes.csv").write_text(
        "Athlete;Drive profile;Direction;Date;Gate (m);Seconds (s);Method;Timed by;Dial (%);Speed (km/h)\n"
        "K01;1;forward;2026-02-01;19,5;7,10;stopwatch;T1;100;\n"
        "K01;1;reverse;2026-02-01;;;rollers;;100;9,5\n",
        encoding="utf-8",
    )
    with open_store(tmp_path / "club.duckdb") as store:
        record_rows(store, {"athletes": [{"athlete": "K01", "consent": "club"}]})
        report = load_paths(store, [tmp_path / "speed_passes.csv"])
        assert (report.loaded, report.set_aside) == ({"speed_passes": 2}, [])
        rows = passes_of(store, "K01")
    assert [(row["gate_m"], row["seconds"], row["speed_kmh"], row["timer"]) for row in rows] == [
        (19.5, 7.1, None, "T1"),
        (None, None, 9.5, None),
    ]


FAULTS = {
    "id_used_twice": "('x', 'K01', 1, 'forward', '2026-01-01', 9, 'rollers', null), "
    "('x', 'K01', 1, 'forward', '2026-01-01', 9, 'rollers', null)",
    "athlete_not_recorded": "('x', 'K77', 1, 'forward', '2026-01-01', 9, 'rollers', null)",
    "correction_of_nothing": "('x', 'K01', 1, 'forward', '2026-01-01', 9, 'rollers', 'z')",
    "row_corrected_twice": "('x', 'K01', 1, 'forward', '2026-01-01', 9, 'rollers', null), "
    "('y', 'K01', 1, 'forward', '2026-01-01', 9, 'rollers', 'x'), "
    "('z', 'K01', 1, 'forward', '2026-01-01', 9, 'rollers', 'x')",
}


@pytest.mark.parametrize("check", list(FAULTS))
def test_the_checks_look_into_measured_speeds(tmp_path: Path, check: str) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        record_rows(store, {"athletes": [{"athlete": "K01", "consent": "club"}]})
        store.connection.execute(
            'insert into speed_passes (entry, athlete, profile, direction, "on", speed_kmh, method, supersedes) '
            f"values {FAULTS[check]}"
        )
        assert [problem.check for problem in check_store(store)] == [check]


@pytest.mark.parametrize("values", ["19.5, null, null", "19.5, 7, 10", "null, null, null", "19.5, 'nan', null"])
def test_the_table_refuses_half_a_measurement(tmp_path: Path, values: str) -> None:
    with (
        open_store(tmp_path / "club.duckdb") as store,
        pytest.raises(duckdb.ConstraintException, match="CHECK"),
    ):
        store.connection.execute(
            'insert into speed_passes (entry, athlete, profile, direction, "on", method, gate_m, seconds, speed_kmh) '
            f"values ('x', 'K01', 1, 'forward', '2026-01-01', 'gates', {values})"
        )
