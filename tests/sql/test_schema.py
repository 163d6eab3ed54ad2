"""The schema: numbered migrations that leave a trace or nothing, comments everywhere, constraints as the last wall."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import duckdb
import pytest

from rampbook.errors import MigrationError
from rampbook.store import migrate, open_store
from rampbook.store.load.columns import SPECS
from rampbook.store.sqlfiles import sql_files

CONTRACT = {
    "athletes": "athlete birth_year consent consent_on",
    "settings": "athlete chair profile setting value on",
    "changes": "change athlete chair profile setting old_value new_value on role reason planned goes_back_to",
    "practices": "practice athlete on minutes surface battery_percent dial_percent fatigue pain",
    "attempts": "attempt practice athlete profile drill seconds finished limit_s touches timer",
    "counts": "practice athlete profile outcome count minutes",
    "ratings": "practice athlete profile outcome rating by",
    "tries": "practice athlete profile outcome successes tries",
    "events": "athlete on event note",
}


@pytest.mark.parametrize("table", list(CONTRACT))
def test_tables_carry_the_names_of_the_contract(tmp_path: Path, table: str) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        rows = store.select("select column_name as name from duckdb_columns() where table_name = ?", table)
    names = {row["name"] for row in rows}
    assert set(CONTRACT[table].split()) <= names
    assert {"supersedes", "extra", "logged_at"} <= names
    assert set(SPECS[table].stored) <= names


def test_every_table_and_column_says_what_it_means(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        silent = store.select(
            "select table_name, column_name from duckdb_columns() as c semi join duckdb_tables() using (table_name) "
            "where coalesce(c.comment, '') = '' union all "
            "select table_name, null from duckdb_tables() where coalesce(comment, '') = ''"
        )
        made = sum(file.read_text(encoding="utf-8").count("create table ") for file in sql_files("migrations"))
        # One more: the log of the migrations themselves.
        assert store.select("select count(*) as n from duckdb_tables()")[0]["n"] == made + 1
    assert silent == []


def test_every_view_says_what_a_row_is_and_can_be_read(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        for file in sql_files("views"):
            assert file.read_text(encoding="utf-8").startswith("-- One row per ")
            name = file.stem.partition("_")[2]
            assert store.select(f'select * from "{name}" limit 0') == []


REFUSED = [
    "insert into practices (practice, athlete, \"on\", minutes) values ('P', 'K01', '2026-01-01', 'nan')",
    "insert into practices (practice, athlete, \"on\", pain) values ('P', 'K01', '2026-01-01', 11)",
    "insert into attempts (attempt, practice, athlete, drill, seconds) values ('A', 'P', 'K01', 'd', 'inf')",
    "insert into attempts (attempt, practice, athlete, drill, seconds) values ('A', 'P', 'K01', 'd', 0)",
    "insert into attempts (attempt, practice, athlete, drill, finished) values ('A', 'P', 'K01', 'd', 2)",
    "insert into ratings (entry, practice, athlete, outcome, rating) values ('R', 'P', 'K01', 'o', 'nan')",
    "insert into tries (entry, practice, athlete, outcome, successes, tries) values ('T', 'P', 'K01', 'o', 2, 1)",
    "insert into athletes (entry, athlete, consent) values ('x', 'Ann Lee', 'club')",
    "insert into athletes (entry, athlete, consent) values ('x', 'K01', 'maybe')",
    "insert into events (entry, athlete, \"on\", event) values ('x', 'K01', '2026-01-01', 'wind')",
    'insert into changes (change, athlete, profile, setting, old_value, new_value, "on") '
    "values ('C', 'K01', 1, 'deadband', 5, 5, '2026-01-01')",
]


@pytest.mark.parametrize("sql", REFUSED)
def test_tables_refuse_what_the_rules_should_have_caught(tmp_path: Path, sql: str) -> None:
    with (
        open_store(tmp_path / "club.duckdb") as store,
        pytest.raises((duckdb.ConstraintException, duckdb.ConversionException), match=r"CHECK|Could not convert"),
    ):
        store.connection.execute(sql)


def test_opening_again_applies_nothing(tmp_path: Path) -> None:
    open_store(tmp_path / "club.duckdb").close()
    with open_store(tmp_path / "club.duckdb") as store:
        assert migrate.bring_up_to_date(store.connection) == []
        log = store.select("select name from migration_log order by name")
        assert [row["name"] for row in log] == [file.stem for file in sql_files("migrations")] + ["views"]


def test_failed_migration_leaves_no_trace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bad = tmp_path / "0003_break_things.sql"
    bad.write_text("create table half (a integer); insert into nowhere values (1);", encoding="utf-8")
    with open_store(tmp_path / "club.duckdb") as store:
        real = sql_files
        monkeypatch.setattr(migrate, "sql_files", lambda kind: [*real(kind), *([bad] if kind == "migrations" else [])])
        with pytest.raises(MigrationError, match=r"could not be brought up to date at 0003_break_things"):
            migrate.bring_up_to_date(store.connection)
        assert store.select("select 1 from duckdb_tables() where table_name = 'half'") == []
        bad.write_text("create table half (a integer);", encoding="utf-8")
        assert migrate.bring_up_to_date(store.connection) == ["0003_break_things"]


def test_store_of_a_newer_version_is_refused(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        store.connection.execute("insert into migration_log (name, checksum) values ('0099_fly', 'x')")
    with pytest.raises(MigrationError, match="made by a newer Rampbook: it has 0099_fly"):
        open_store(tmp_path / "club.duckdb")


def test_migration_changed_after_it_was_applied_is_refused(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        store.connection.execute("update migration_log set checksum = 'x' where name like '0001%'")
    with pytest.raises(MigrationError, match="is not the one this store was built with"):
        open_store(tmp_path / "club.duckdb")


def test_database_of_something_else_is_refused_and_left_alone(tmp_path: Path) -> None:
    with duckdb.connect(str(tmp_path / "other.duckdb")) as other:
        other.execute("create table shop (item varchar)")
    with pytest.raises(MigrationError, match='database of something else: it holds the table "shop"'):
        open_store(tmp_path / "other.duckdb")
    with duckdb.connect(str(tmp_path / "other.duckdb")) as other:
        assert other.execute("select table_name from duckdb_tables()").fetchall() == [("shop",)]


def test_store_opens_again_after_a_crash_right_after_it_was_made(tmp_path: Path) -> None:
    path = tmp_path / "club.duckdb"
    script = "import os, sys; from rampbook.store import open_store; open_store(sys.argv[1]); os.kill(os.getpid(), 9)"
    assert subprocess.run([sys.executable, "-c", script, str(path)], check=False).returncode == -9
    with open_store(path) as store:
        assert store.select("select count(*) as n from catalogue") == [{"n": 19}]
