"""Bundles of changes in files: any order of rows, whole or not at all, and old stores that know none."""

from __future__ import annotations

from pathlib import Path

import pytest

from rampbook.store import migrate, open_store
from rampbook.store.entries import record_athlete, record_change, record_sheet_value
from rampbook.store.load.report import LoadReport
from rampbook.store.load.run import load_paths
from rampbook.store.sqlfiles import sql_files

HEAD = "change,athlete,chair,profile,setting,old_value,new_value,on,bundle"
SHEET = {"forward_speed_max": 80, "reverse_speed_max": 60, "reverse_speed_min": 20, "turn_speed_max": 50}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    with open_store(tmp_path / "club.duckdb") as store:
        record_athlete(store, "K01", consent="club")
        for profile in (1, 2):
            for setting, value in SHEET.items():
                record_sheet_value(
                    store, "K01", chair="W1", profile=profile, setting=setting, value=value, on="2026-01-01"
                )
    return tmp_path / "club.duckdb"


def load(path: Path, *lines: str) -> LoadReport:
    file = path.parent / "changes.csv"
    file.write_text("\n".join([HEAD, *lines]) + "\n", encoding="utf-8")
    with open_store(path) as store:
        return load_paths(store, [file])


def bundles(path: Path) -> list[tuple[str, str | None]]:
    with open_store(path) as store:
        return [(r["change"], r["bundle"]) for r in store.select("select change, bundle from changes_now order by 1")]


BACKWARDS = (
    "c1,K01,W1,1,forward_speed_max,80,15,2026-02-01,B",
    "c2,K01,W1,1,reverse_speed_max,60,15,2026-02-01,B",
    "c3,K01,W1,1,reverse_speed_min,20,15,2026-02-01,B",
)


def test_the_rows_of_a_bundle_may_stand_in_any_order(path: Path) -> None:
    report = load(path, *BACKWARDS)
    assert (report.loaded["changes"], report.set_aside) == (3, [])
    assert bundles(path) == [("c1", "B"), ("c2", "B"), ("c3", "B")]
    assert load(path, *BACKWARDS).already_there["changes"] == 3


def test_the_same_rows_without_a_bundle_keep_their_order(path: Path) -> None:
    report = load(path, *(line.removesuffix("B") for line in BACKWARDS))
    assert [row.row for row in report.set_aside] == [2, 3]


def test_a_bundle_with_a_blocked_row_stays_out_whole(path: Path) -> None:
    report = load(path, *BACKWARDS[:2], "c4,K01,W1,1,turn_speed_max,50,40,2026-02-01,B")
    assert report.loaded["changes"] == 0
    assert [(row.row, row.column) for row in report.set_aside] == [(2, "new_value"), (3, "new_value"), (4, "bundle")]
    assert report.set_aside[2].reason == "row 2 of the same bundle cannot be used, and a bundle is taken up whole"
    assert bundles(path) == []
    # Mended and loaded again it comes in together.
    assert load(path, *BACKWARDS, "c4,K01,W1,1,turn_speed_max,50,40,2026-02-01,B").loaded["changes"] == 4


def test_a_bundle_with_an_unreadable_row_stays_out_whole(path: Path) -> None:
    report = load(path, "c1,K01,W1,1,turn_speed_max,50,much,2026-02-01,B", *BACKWARDS[1:])
    assert report.loaded["changes"] == 0
    assert {row.row for row in report.set_aside} == {2, 3, 4}


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("c4,K01,W1,2,turn_speed_max,50,40,2026-02-01,B", "of another athlete, chair, profile or day"),
        ("c4,K01,W1,1,turn_speed_max,50,40,2026-02-02,B", "of another athlete, chair, profile or day"),
        ("c4,K01,W1,1,reverse_speed_min,15,10,2026-02-01,B", "it changes reverse_speed_min in c3 already"),
    ],
)
def test_a_later_row_that_does_not_belong_to_the_bundle_is_set_aside(path: Path, line: str, reason: str) -> None:
    load(path, *BACKWARDS)
    report = load(path, line)
    assert report.loaded["changes"] == 0
    assert reason in report.set_aside[0].reason


def test_rows_that_wait_for_each_other_are_refused_with_what_blocks_them(path: Path) -> None:
    report = load(
        path,
        "c1,K01,W1,1,forward_speed_max,80,15,2026-02-01,B",
        "c2,K01,W1,1,reverse_speed_max,60,10,2026-02-01,B",
    )
    assert report.loaded["changes"] == 0
    assert "reverse_speed_min is 20" in report.set_aside[1].reason


def test_a_store_from_before_bundles_opens_and_keeps_its_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, every = tmp_path / "old.duckdb", sql_files
    with monkeypatch.context() as then:
        then.setattr(migrate, "sql_files", lambda kind: every(kind)[:2] if kind == "migrations" else [])
        with open_store(path) as store:
            store.connection.execute("insert into athletes (entry, athlete, consent) values ('K01', 'K01', 'club')")
            store.connection.execute(
                'insert into settings (entry, athlete, profile, setting, value, "on") '
                "values ('s', 'K01', 1, 'deadband', 10, '2026-01-01')"
            )
            store.connection.execute(
                'insert into changes (change, athlete, profile, setting, old_value, new_value, "on") '
                "values ('old', 'K01', 1, 'deadband', 10, 8, '2026-02-01')"
            )
    assert bundles(path) == [("old", None)]
    with open_store(path) as store:
        record_change(store, "K01", profile=1, setting="deadband", new_value=6, on="2026-03-01", bundle="B", change="n")
    assert bundles(path) == [("n", "B"), ("old", None)]
