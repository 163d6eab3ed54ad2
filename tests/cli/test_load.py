"""``rampbook load`` and ``rampbook check``: exit codes, JSON and words."""

from __future__ import annotations

import json
from pathlib import Path

from typer.testing import CliRunner

from rampbook.cli.app import app
from rampbook.store import open_store
from tests.unit.store.records import CLUB, write_files

run = CliRunner().invoke


def test_load_says_what_went_in_and_exits_0(tmp_path: Path) -> None:
    folder = write_files(tmp_path / "files", CLUB)
    done = run(app, ["load", str(folder), "--store", str(tmp_path / "club.duckdb"), "--json"])
    assert done.exit_code == 0, done.output
    report = json.loads(done.stdout)
    assert report["loaded"] == {"athletes": 4, "settings": 4, "practices": 5, "changes": 1, "attempts": 3}
    assert report["set_aside"] == []
    again = run(app, ["load", str(folder), "--store", str(tmp_path / "club.duckdb")])
    assert again.exit_code == 0
    assert "attempts: 0 loaded, 3 already there" in again.stdout


def test_rows_set_aside_are_told_in_words_and_exit_1(tmp_path: Path) -> None:
    rows = "".join(f"B{i},P1,spin,x{i}\n" for i in range(25))
    folder = write_files(tmp_path / "files", CLUB | {"attempts_2.csv": f"attempt,practice,drill,seconds\n{rows}"})
    done = run(app, ["load", str(folder), "--store", str(tmp_path / "club.duckdb")])
    assert done.exit_code == 1
    assert 'attempts_2.csv row 2: seconds is "x0": it must be a number above 0. Correct the cell' in done.stdout
    assert '"x19"' in done.stdout and '"x20"' not in done.stdout
    assert "… and 5 more; --json lists them all." in done.stdout


def test_json_of_a_row_set_aside_has_the_parts_of_the_contract(tmp_path: Path) -> None:
    folder = write_files(tmp_path / "files", CLUB | {"events.csv": "athlete,on,event\nK01,5/3/26,tyres\n"})
    store = ["--store", str(tmp_path / "club.duckdb"), "--json"]
    done = run(app, ["load", str(folder), *store])
    assert done.exit_code == 1
    (row,) = json.loads(done.stdout)["set_aside"]
    assert list(row) == ["file", "row", "column", "value", "reason", "remedy"]
    assert (row["file"], row["row"], row["column"], row["value"]) == ("events.csv", 2, "on", "5/3/26")
    done = run(app, ["load", str(folder), "--day-first", *store])
    assert json.loads(done.stdout)["loaded"]["events"] == 1


def test_practices_dated_after_today_go_in_with_a_note_and_exit_1(tmp_path: Path) -> None:
    late = {
        "practices_2.csv": "practice,athlete,on\nP8,K01,2091-01-01\n",
        "attempts_2.csv": "attempt,athlete,on,drill,seconds\nZ1,K01,2090-03-01,slalom,12\n",
    }
    folder = write_files(tmp_path / "files", CLUB | late)
    store = ["--store", str(tmp_path / "club.duckdb")]
    done = run(app, ["load", str(folder), *store])
    assert done.exit_code == 1 and "practices: 6 loaded" in done.stdout
    said = ("2 practices are dated after today", "P8 (2091-01-01)", "K01@2090-03-01 (2090-03-01)", "Is that meant?")
    for part in said:
        assert part in done.stderr and part not in done.stdout
    again = run(app, ["load", str(folder / "practices_2.csv"), *store, "--json"])
    report = json.loads(again.stdout)
    assert (again.exit_code, report["already_there"]) == (1, {"practices": 1})
    assert report["dated_ahead"] == [{"practice": "P8", "on": "2091-01-01"}]
    others = run(app, ["load", str(folder / "practices.csv"), *store, "--json"])
    assert (others.exit_code, json.loads(others.stdout)["dated_ahead"]) == (0, [])


def test_identical_attempts_go_in_together_only_where_they_have_numbers(tmp_path: Path) -> None:
    row = "P1,spin,12.5\n"
    unnumbered = {"attempts_2.csv": f"practice,drill,seconds\n{row}{row}"}
    folder = write_files(tmp_path / "a", CLUB | unnumbered)
    done = run(app, ["load", str(folder), "--store", str(tmp_path / "a.duckdb")])
    assert done.exit_code == 1 and "attempts: 4 loaded" in done.stdout and "it looks typed twice" in done.stdout
    numbered = {"attempts_2.csv": f"attempt,practice,drill,seconds\n1,{row}2,{row}"}
    folder = write_files(tmp_path / "b", CLUB | numbered)
    done = run(app, ["load", str(folder), "--store", str(tmp_path / "b.duckdb")])
    assert done.exit_code == 0 and "attempts: 5 loaded" in done.stdout


def test_both_orders_at_once_and_a_missing_path_are_refused_with_exit_2(tmp_path: Path) -> None:
    store = ["--store", str(tmp_path / "club.duckdb")]
    done = run(app, ["load", str(tmp_path), "--day-first", "--month-first", *store])
    assert (done.exit_code, "cannot both hold" in done.stderr) == (2, True)
    done = run(app, ["load", str(tmp_path / "nowhere"), *store])
    assert (done.exit_code, "There is no file or folder" in done.stderr) == (2, True)


def test_large_file_tells_of_its_progress_on_standard_error(tmp_path: Path) -> None:
    rows = "".join(f"B{i},P1,a drill with a long name to fill the file up,{1 + i % 50}\n" for i in range(100_000))
    folder = write_files(tmp_path / "files", CLUB | {"attempts_2.csv": f"attempt,practice,drill,seconds\n{rows}"})
    done = run(app, ["load", str(folder), "--store", str(tmp_path / "club.duckdb"), "--json"])
    assert done.exit_code == 0
    assert "attempts_2.csv: 100,000 rows read" in done.stderr
    assert json.loads(done.stdout)["loaded"]["attempts"] == 100_003


def test_check_of_a_sound_store_and_of_one_that_is_not(tmp_path: Path) -> None:
    path = tmp_path / "club.duckdb"
    run(app, ["load", str(write_files(tmp_path / "files", CLUB)), "--store", str(path)])
    done = run(app, ["check", "--store", str(path), "--json"])
    assert (done.exit_code, json.loads(done.stdout)) == (0, {"sound": True, "problems": []})
    with open_store(path) as store:
        store.connection.execute(
            "insert into attempts (attempt, practice, athlete, drill) values ('Z', 'P77', 'K01', 'd')"
        )
    done = run(app, ["check", "--store", str(path), "--json"])
    problems = json.loads(done.stdout)
    assert (done.exit_code, problems["sound"]) == (1, False)
    assert [problem["check"] for problem in problems["problems"]] == ["practice_not_recorded"]
    assert (
        "row whose practice is not there: in_table attempts, id Z" in run(app, ["check", "--store", str(path)]).stdout
    )


def test_check_does_not_make_a_store(tmp_path: Path) -> None:
    done = run(app, ["check", "--store", str(tmp_path / "club.duckdb")])
    assert (done.exit_code, "There is no store at" in done.stderr) == (2, True)
