"""A load as a whole: nothing twice, all or nothing, two programs, two machines, corrections that keep both."""

from __future__ import annotations

import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest

from rampbook.errors import EntryError, StoreError, StoreLockedError
from rampbook.store import open_store
from rampbook.store.load import load_paths
from rampbook.store.queries import check_store

from .records import ATHLETES, CLUB, club_store, contents, load_text, write_files

BAD = {"attempts_2.csv": "attempt,practice,drill,seconds\nB1,P1,spin,x\nB2,P1,spin,12\n", "stock.csv": "a,b\n1,2\n"}


def test_loading_the_same_files_again_adds_nothing(tmp_path: Path) -> None:
    folder = write_files(tmp_path / "files", CLUB | BAD)
    with open_store(tmp_path / "club.duckdb") as store:
        first = load_paths(store, [folder])
        before = contents(store)
        again = load_paths(store, [folder])
        assert contents(store) == before
        assert again.already_there == first.loaded
        assert set(again.loaded.values()) == {0}
        assert [str(bad) for bad in again.set_aside] == [str(bad) for bad in first.set_aside]
        assert len(first.set_aside) == 2


def test_rows_without_ids_are_known_again(tmp_path: Path) -> None:
    text = "athlete,on,drill,seconds,finished\nK01,2026-02-01,spin,12.5,1\nK01,2026-03-09,spin,12.5,1\n"
    with club_store(tmp_path) as store:
        assert load_text(store, tmp_path, "attempts.csv", text).loaded == {"attempts": 2}
        again = load_text(store, tmp_path, "attempts_again.csv", text)
        assert (again.loaded, again.already_there, again.practices_made) == ({"attempts": 0}, {"attempts": 2}, 0)


def test_old_value_left_empty_is_taken_from_the_sheet_and_known_again(tmp_path: Path) -> None:
    text = "athlete,chair,profile,setting,new_value,on\nK01,C1,2,deadband,12,2026-03-01\n"
    with club_store(tmp_path) as store:
        assert load_text(store, tmp_path, "changes.csv", text).loaded == {"changes": 1}
        assert store.select("select old_value from changes where setting = 'deadband'") == [{"old_value": 10.0}]
        assert load_text(store, tmp_path, "changes.csv", text).already_there == {"changes": 1}


def test_changes_are_judged_in_the_order_of_days_not_of_rows(tmp_path: Path) -> None:
    text = (
        "change,athlete,chair,profile,setting,old_value,new_value,on\n"
        "D2,K01,C1,2,deadband,12,14,2026-03-08\nD1,K01,C1,2,deadband,10,12,2026-03-01\n"
    )
    with club_store(tmp_path) as store:
        report = load_text(store, tmp_path, "changes.csv", text)
        assert (report.loaded, report.set_aside) == ({"changes": 2}, [])
        assert check_store(store) == []


def test_change_between_older_ones_goes_in_with_the_one_that_brings_it_back(tmp_path: Path) -> None:
    text = (
        "change,athlete,chair,profile,setting,old_value,new_value,on,goes_back_to\n"
        "E1,K01,C1,2,forward_speed_max,60,55,2026-01-10,\nE2,K01,C1,2,forward_speed_max,55,60,2026-01-20,E1\n"
    )
    with club_store(tmp_path) as store:
        assert load_text(store, tmp_path, "changes.csv", text).loaded == {"changes": 2}
        assert check_store(store) == []


def test_error_midway_leaves_nothing(tmp_path: Path) -> None:
    folder = write_files(tmp_path / "files", CLUB)

    class Stop(Exception):
        pass

    def stop(line: str) -> None:
        if line == "changes.csv: checking and saving":
            raise Stop

    with open_store(tmp_path / "club.duckdb") as store:
        before = contents(store)
        with pytest.raises(Stop):
            load_paths(store, [folder], progress=stop)
        assert contents(store) == before
        assert load_paths(store, [folder]).loaded["attempts"] == 3


def test_program_killed_midway_leaves_nothing(tmp_path: Path) -> None:
    folder, path = write_files(tmp_path / "files", CLUB), tmp_path / "club.duckdb"
    script = textwrap.dedent(
        """
        import os, signal, sys
        from rampbook.store import open_store
        from rampbook.store.load import load_paths

        def die(line):
            if line == "attempts.csv: checking and saving":
                os.kill(os.getpid(), signal.SIGKILL)

        load_paths(open_store(sys.argv[1]), [sys.argv[2]], progress=die)
        """
    )
    done = subprocess.run([sys.executable, "-c", script, str(path), str(folder)], check=False, timeout=120)
    assert done.returncode == -9
    with open_store(path) as store:
        assert store.select("select count(*) as n from athletes") == [{"n": 0}]
        assert load_paths(store, [folder]).loaded["athletes"] == 4


HOLD = """
import sys, time
from rampbook.store import open_store
with open_store(sys.argv[1]):
    print("open", flush=True)
    time.sleep(float(sys.argv[2]))
"""


def hold(path: Path, seconds: float) -> subprocess.Popen[str]:
    """Open the store in another process and return once it has it."""
    other = subprocess.Popen([sys.executable, "-c", HOLD, str(path), str(seconds)], stdout=subprocess.PIPE, text=True)
    assert other.stdout is not None
    assert other.stdout.readline() == "open\n"
    return other


def test_second_program_waits_for_the_first(tmp_path: Path) -> None:
    club_store(tmp_path).close()
    with hold(tmp_path / "club.duckdb", 1.0), open_store(tmp_path / "club.duckdb") as store:
        assert store.select("select count(*) as n from athletes") == [{"n": 4}]


def test_second_program_says_what_to_do_when_the_first_does_not_let_go(tmp_path: Path) -> None:
    club_store(tmp_path).close()
    with hold(tmp_path / "club.duckdb", 30) as other:
        start = time.monotonic()
        with pytest.raises(
            StoreLockedError, match=r"Another program is using the store .* try again; nothing was changed"
        ):
            open_store(tmp_path / "club.duckdb", patience_s=0.5)
        assert 0.5 <= time.monotonic() - start < 10
        other.kill()


def test_two_machines_give_one_record_in_either_order(tmp_path: Path) -> None:
    here = write_files(
        tmp_path / "here",
        CLUB
        | {
            "counts.csv": "practice,profile,outcome,count,minutes\nP1,2,collisions,3,20\n",
            "events.csv": "athlete,on,event\nK01,2026-02-03,tyres\n",
        },
    )
    there = write_files(
        tmp_path / "there",
        {
            "athletes.csv": ATHLETES,
            "practices.csv": "athlete,on,minutes\nK02,2026-02-08,60\n",
            "attempts.csv": "athlete,on,drill,seconds\nK02,2026-02-08,slalom,14.5\nK02,2026-02-08,slalom,14.1\n",
            "events.csv": "athlete,on,event\nK01,2026-02-03,tyres\nK02,2026-02-03,battery\n",
        },
    )
    with open_store(tmp_path / "a.duckdb") as a, open_store(tmp_path / "b.duckdb") as b:
        for store, order in ((a, (here, there)), (b, (there, here))):
            for folder in order:
                assert load_paths(store, [folder]).set_aside == []
        assert contents(a) == contents(b)
        assert a.select("select count(*) as n from events") == [{"n": 2}]


def test_correction_is_a_new_row_and_the_history_shows_both(tmp_path: Path) -> None:
    text = (
        "change,athlete,chair,profile,setting,old_value,new_value,on,supersedes\n"
        "C1b,K01,C1,2,forward_speed_max,60,52,2026-02-05,C1\n"
    )
    with club_store(tmp_path) as store:
        assert load_text(store, tmp_path, "changes.csv", text).loaded == {"changes": 1}
        for name in ("C1", "C1b"):
            assert [row["change"] for row in store.rows("change_history", name)] == ["C1", "C1b"]
            assert [row["new_value"] for row in store.rows("change", name)] == [52.0]
        sheet = store.rows("setting_sheet", "K01", "2026-02-06", 2)
        assert [row["value"] for row in sheet if row["setting"] == "forward_speed_max"] == [52.0]
        assert check_store(store) == []


def test_attempts_follow_their_practice_through_its_corrections(tmp_path: Path) -> None:
    text = "practice,athlete,on,minutes,supersedes\nP1b,K01,2026-02-02,55,P1\nP1c,K01,2026-02-03,50,P1b\n"
    with club_store(tmp_path) as store:
        assert load_text(store, tmp_path, "practices.csv", text).set_aside == []
        rows = store.select("select practice, \"on\" from attempts_in_force where attempt = 'A1'")
        assert [(row["practice"], str(row["on"])) for row in rows] == [("P1c", "2026-02-03")]
        assert check_store(store) == []


def test_consent_given_later_opens_the_way(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        text = "athlete,consent,consent_on,supersedes\nK03,club,2026-03-01,K03\n"
        assert load_text(store, tmp_path, "athletes.csv", text).loaded == {"athletes": 1}
        report = load_text(store, tmp_path, "practices.csv", "practice,athlete,on\nP9,K03,2026-03-02\n")
        assert (report.loaded, report.set_aside) == ({"practices": 1}, [])


def test_missing_path_is_refused(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        with pytest.raises(EntryError, match=r"There is no file or folder .*nowhere"):
            load_paths(store, [tmp_path / "nowhere"])
        (tmp_path / "bare").mkdir()
        with pytest.raises(EntryError, match="holds no CSV, Parquet or xlsx file"):
            load_paths(store, [tmp_path / "bare"])


def test_store_that_is_not_there_is_not_made_by_reading(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="There is no store at"):
        open_store(tmp_path / "club.duckdb", create=False)
    assert not (tmp_path / "club.duckdb").exists()


def test_file_that_is_no_store_is_refused(tmp_path: Path) -> None:
    (tmp_path / "club.duckdb").write_text("hello " * 2000, encoding="utf-8")
    with pytest.raises(StoreError, match="cannot be opened as a store"):
        open_store(tmp_path / "club.duckdb")


def test_store_is_found_by_environment_and_gives_frames(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    club_store(tmp_path).close()
    monkeypatch.setenv("RAMPBOOK_STORE", str(tmp_path / "club.duckdb"))
    with open_store() as store:
        assert store.attempts.height == 3
        assert store.frame("setting_sheet", "K01", "2026-03-01", None).height == 4
        with pytest.raises(StoreError, match='has no table "horses"'):
            store.table("horses")
