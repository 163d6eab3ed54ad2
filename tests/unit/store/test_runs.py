"""Runs in the store: traces from awkward files, refusals by row and column, one round trip, and old stores."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import duckdb
import pytest

from rampbook.domain.kinematics import Trace
from rampbook.errors import EntryError
from rampbook.store import Store, migrate, open_store
from rampbook.store.load import load_paths
from rampbook.store.runs import read_trace, record_run, runs_of, trace_of_run
from rampbook.store.sqlfiles import sql_files

RUN = {
    "run": "R1", "athlete": "K01", "chair": "W1", "profile": 2, "direction": "forward", "on": "2026-02-01",
    "start": "standing", "distance_m": 12.0, "seconds": 8.0,
}  # fmt: skip
TRACE = Trace(time_s=(0.0, 0.1, 0.2), speed_m_s=(0.0, 0.5, 1.0))


def known(path: Path) -> Store:
    store = open_store(path / "club.duckdb")
    store.connection.execute("insert into athletes (entry, athlete, consent) values ('K01', 'K01', 'club')")
    return store


def written(folder: Path, text: str, *, encoding: str = "utf-8") -> Path:
    path = folder / "trace.csv"
    path.write_bytes(text.encode(encoding))
    return path


@pytest.mark.parametrize(
    "text",
    [
        "time_s,speed_m_s\n0,0\n0.1,0.5\n0.2,1\n",
        "\ufeffTime_s;Note;Speed_m_s\r\n0;a;0\r\n0,1;b;0,5\r\n;;\r\n0,2;;1,0\r\n",
        "time_s\tspeed_m_s\tdistance_m\n0\t0\t9\n.1\t5e-1\t9\n0.2\t1.0\t9\n\n",
    ],
)
def test_a_trace_is_read_as_it_is_saved(tmp_path: Path, text: str) -> None:
    assert read_trace(written(tmp_path, text)) == TRACE


def test_distance_is_read_where_there_is_no_speed(tmp_path: Path) -> None:
    trace = read_trace(written(tmp_path, "distance_m,time_s\n0,0\n0.2,0.1\n"))
    assert trace == Trace(time_s=(0.0, 0.1), distance_m=(0.0, 0.2))


BAD = [
    ("", "trace.csv is empty"),
    ("time,speed\n0,1\n", "trace.csv row 1 has the headings time, speed: a trace needs time_s"),
    ("time_s,speed_m_s\n0,0\n0.1,fast\n", 'trace.csv row 3, speed_m_s is "fast": it must be a number'),
    ("time_s,speed_m_s\n0,0\n0.1\n", 'trace.csv row 3, speed_m_s is "": it must be a number'),
    ("time_s,speed_m_s\n0,nan\n", 'trace.csv row 2, speed_m_s is "nan"'),
    ("time_s,speed_m_s\n0,0\n0.1,1e999\n", 'trace.csv row 3, speed_m_s is "1e999"'),
    ("time_s,speed_m_s\n0,0\n0.2,1\n0.1,1\n", "trace.csv row 4, time_s is 0.1: it must be later"),
    ("time_s,speed_m_s\n0,0\n\n2,1\n", "trace.csv row 4, time_s is 2: that is 2 s after the row before"),
    ("time_s,speed_m_s\n", "trace.csv has 0 samples"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), BAD)
def test_bad_files_are_refused_by_row_column_and_value(tmp_path: Path, text: str, message: str) -> None:
    with pytest.raises(EntryError, match=re.escape(message)) as refused:
        read_trace(written(tmp_path, text))
    assert "Nothing was saved." in str(refused.value)


def test_files_that_cannot_be_read_are_refused(tmp_path: Path) -> None:
    with pytest.raises(EntryError, match=r"could not be read \(no such file"):
        read_trace(tmp_path / "none.csv")
    with pytest.raises(EntryError, match="is not a text file in UTF-8"):
        read_trace(written(tmp_path, "time_s,é\n", encoding="latin-1"))


def test_a_run_and_its_trace_come_back_as_they_went_in(tmp_path: Path) -> None:
    distance = Trace(time_s=(0.0, 0.1), distance_m=(0.0, 0.2))
    with known(tmp_path) as store:
        record_run(store, RUN, TRACE)
        record_run(store, RUN | {"run": "R2", "start": "flying"})
        record_run(store, RUN | {"run": "R3"}, distance)
        record_run(store, RUN, TRACE)
        known_runs = {row["run"]: row["n_samples"] for row in runs_of(store, "K01", 2, "W1")}
        assert known_runs == {"R1": 3, "R2": 0, "R3": 2}
        assert trace_of_run(store, "R1") == TRACE and trace_of_run(store, "R3") == distance
        assert trace_of_run(store, "R2") is None
        assert runs_of(store, "K01", 2, "W9") == [] == runs_of(store, "K01", 1, None)


def test_a_corrected_run_stays_on_record_and_is_not_shown(tmp_path: Path) -> None:
    with known(tmp_path) as store:
        record_run(store, RUN)
        record_run(store, RUN | {"run": "R2", "seconds": 8.5, "supersedes": "R1"})
        assert [row["run"] for row in runs_of(store, "K01", 2, None)] == ["R2"]
        assert store.select("select count(*) as n from runs")[0]["n"] == 2


WRONG: list[tuple[dict[str, Any], str]] = [
    ({"athlete": "K99"}, 'athlete is "K99": no such athlete is recorded'),
    ({"seconds": -1}, 'seconds is "-1".*a number above 0'),
    ({"direction": "sideways"}, 'direction is "sideways".*one of forward, reverse'),
    ({"start": "rolling"}, 'start is "rolling".*one of standing, flying'),
    ({"dial_percent": 140}, 'dial_percent is "140".*from 0 to 100'),
    ({"run": "R1", "seconds": 9}, "the store has a row with the id R1 and other content"),
]


@pytest.mark.parametrize(("change", "message"), WRONG)
def test_a_run_that_cannot_be_leaves_nothing_behind(tmp_path: Path, change: dict[str, Any], message: str) -> None:
    with known(tmp_path) as store:
        record_run(store, RUN)
        with pytest.raises(EntryError, match=message):
            record_run(store, RUN | {"run": "R9"} | change, TRACE)
        assert store.select("select count(*) as n from runs")[0]["n"] == 1
        assert store.select("select count(*) as n from run_samples")[0]["n"] == 0


def test_runs_can_be_loaded_from_a_file_and_bad_rows_are_set_aside(tmp_path: Path) -> None:
    (tmp_path / "runs.csv").write_text(
        "run,athlete,chair,profile,direction,on,start,distance_m,seconds\n"
        "R1,K01,W1,2,forward,2026-02-01,flying,10,3.9\nR2,K01,W1,2,reverse,2026-02-01,flying,10,0\n",
        encoding="utf-8",
    )
    (tmp_path / "chairs.csv").write_text(
        "chair,athlete,scale,throw_definition\nW1,K01,percent,at_full_travel\nW2,K01,percent,perhaps\n",
        encoding="utf-8",
    )
    with known(tmp_path) as store:
        report = load_paths(store, [tmp_path / "runs.csv", tmp_path / "chairs.csv"])
        assert report.loaded == {"runs": 1, "chairs": 1}
        assert {(row.row, row.column, row.value) for row in report.set_aside} == {
            (3, "seconds", "0"), (3, "throw_definition", "perhaps"),
        }  # fmt: skip
        assert store.rows("throw_definition", "W1") == [{"throw_definition": "at_full_travel"}]


def test_a_store_made_before_runs_opens_and_keeps_its_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "club.duckdb"
    early = [file for file in sql_files("migrations") if file.stem < "0003"]
    monkeypatch.setattr(migrate, "sql_files", lambda kind: early if kind == "migrations" else [])
    with duckdb.connect(str(path)) as old:
        migrate.bring_up_to_date(old)
        old.execute("insert into athletes (entry, athlete, consent) values ('K01', 'K01', 'club')")
        old.execute("insert into chairs (entry, chair, athlete, scale) values ('W1', 'W1', 'K01', 'percent')")
    monkeypatch.undo()
    with open_store(path) as store:
        chairs = store.select("select chair, throw_definition from chairs_now")
        assert chairs == [{"chair": "W1", "throw_definition": None}]
        record_run(store, RUN, TRACE)
        assert len(runs_of(store, "K01", 2, None)) == 1
