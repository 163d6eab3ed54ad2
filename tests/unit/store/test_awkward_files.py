"""Files as people keep them: delimiters, encodings, titles, merged headings, three styles of dates, workbooks."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

import polars as pl
import pytest
import xlsxwriter

from rampbook.store import Store
from rampbook.store.load import load_paths
from rampbook.store.load.headings import plain_word, table_named

from .records import club_store, load_text, write_files

TIMES = [12.5, 11.25, 0.1, 1234.5]


def seconds_of(store: Store, drill: str) -> list[float]:
    rows = store.select("select seconds from attempts where drill = ? order by logged_at", drill)
    return [row["seconds"] for row in rows]


def days_of(store: Store) -> list[date]:
    return [row["on"] for row in store.select('select "on" from events order by logged_at')]


def table_text(mark: str, *, comma: bool = False) -> str:
    rows = [["attempt", "practice", "drill", "seconds", "timer"]]
    for i, seconds in enumerate(TIMES):
        typed = str(seconds).replace(".", ",") if comma else str(seconds)
        rows.append([f"B{i}", "P1", "Gassen über", typed, "Zeitnehmer ä"])
    return "\r\n".join(mark.join(f'"{cell}"' if mark in cell else cell for cell in row) for row in rows) + "\r\n"


@pytest.mark.parametrize("comma", [False, True], ids=["point", "comma"])
@pytest.mark.parametrize("mark", [",", ";", "\t", "|"], ids=["comma", "semicolon", "tab", "bar"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_any_delimiter_encoding_and_decimal_sign(tmp_path: Path, encoding: str, mark: str, comma: bool) -> None:
    folder = write_files(tmp_path / "new", {"attempts.csv": table_text(mark, comma=comma)}, encoding)
    with club_store(tmp_path) as store:
        report = load_paths(store, [folder])
        assert (report.loaded, report.set_aside) == ({"attempts": 4}, [])
        assert seconds_of(store, "Gassen über") == TIMES
        assert store.select("select distinct timer from attempts where attempt like 'B%'") == [
            {"timer": "Zeitnehmer ä"}
        ]


@pytest.mark.parametrize(
    ("typed", "seconds"), [("1.234,5", 1234.5), ("1,234.5", 1234.5), (" 12.5 ", 12.5), ("1e1", 10.0), ("60", 60.0)]
)
def test_numbers_as_people_write_them(tmp_path: Path, typed: str, seconds: float) -> None:
    with club_store(tmp_path) as store:
        load_text(store, tmp_path, "attempts.csv", f"attempt;practice;drill;seconds\nB1;P1;spin;{typed}\n")
        assert seconds_of(store, "spin") == [seconds]


@pytest.mark.parametrize("typed", ["1_000", "12:30", "0x10", "1,2,3", "--", "12 3"])
def test_what_is_no_number_is_not_guessed_at(tmp_path: Path, typed: str) -> None:
    with club_store(tmp_path) as store:
        text = f"attempt;practice;drill;seconds\nB1;P1;spin;{typed}\n"
        assert [bad.value for bad in load_text(store, tmp_path, "attempts.csv", text).set_aside] == [typed]


def test_title_rows_odd_headings_and_empty_edges(tmp_path: Path) -> None:
    text = (
        "Spring training;;;;;;\n;;;;;;\nAthlete code;Date;Drill;Seconds (s);Finished?;Weather;\n"
        "K01;01.02.2026;spin;12,5;yes;sunny;\n;;;;;;\nK01;08.02.2026;spin;;no;;late\n;;;;;;\n;;;;;;\n"
    )
    with club_store(tmp_path) as store:
        report = load_text(store, tmp_path, "Attempts spring.csv", text)
        assert (report.loaded, report.set_aside) == ({"attempts": 2}, [])
        assert report.kept_columns == {"Attempts spring.csv": ["Weather", "column 7"]}
        rows = store.select("select practice, seconds, finished, extra from attempts where drill = 'spin' order by all")
        assert rows == [
            {"practice": "P1", "seconds": 12.5, "finished": 1, "extra": '{"Weather":"sunny"}'},
            {"practice": "P2", "seconds": None, "finished": 0, "extra": '{"column 7":"late"}'},
        ]


def test_row_number_is_the_line_of_the_file_whatever_stands_above(tmp_path: Path) -> None:
    text = 'Title\n\nattempt,practice,drill,seconds\nB1,P1,"two\nlines",12\n\nB2,P1,spin,bad\n'
    with club_store(tmp_path) as store:
        report = load_text(store, tmp_path, "attempts.csv", text)
        assert [(bad.row, bad.value) for bad in report.set_aside] == [(7, "bad")]
        assert text.splitlines()[7 - 1] == "B2,P1,spin,bad"


def test_cells_beyond_the_headings_and_missing_ones(tmp_path: Path) -> None:
    text = "attempt,practice,drill,seconds\nB1,P1,spin,12,wet,floor\nB2,P1,spin\n"
    with club_store(tmp_path) as store:
        report = load_text(store, tmp_path, "attempts.csv", text)
        assert [bad.row for bad in report.set_aside] == [3]
        assert store.select("select extra from attempts where attempt = 'B1'") == [
            {"extra": '{"beyond the headings":"wet floor"}'}
        ]


@pytest.mark.parametrize(
    "typed",
    [
        "2026-03-05",
        "2026-03-05 00:00:00",
        "2026-03-05T18:30:00",
        "2026/3/5",
        "05.03.2026",
        "5.3.26",
        "5. 3. 2026",
        "5 March 2026",
        "5 Mar 26",
        "Thu 5th March 2026",
        "March 5, 2026",
        "46086",
    ],
)
def test_dates_that_can_be_read_one_way_are_read(tmp_path: Path, typed: str) -> None:
    with club_store(tmp_path) as store:
        report = load_text(store, tmp_path, "events.csv", f"athlete;on;event\nK01;{typed};tyres\n")
        assert report.set_aside == []
        assert days_of(store) == [date(2026, 3, 5)]


def test_day_above_twelve_in_the_same_column_tells_how_the_others_are_read(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        load_text(store, tmp_path, "events.csv", "athlete;on;event\nK01;5/3/26;tyres\nK01;13/3/26;tyres\n")
        assert days_of(store) == [date(2026, 3, 5), date(2026, 3, 13)]
    with club_store(tmp_path, "other.duckdb") as store:
        load_text(store, tmp_path, "events.csv", "athlete;on;event\nK01;5/3/26;tyres\nK01;3/13/26;tyres\n")
        assert days_of(store) == [date(2026, 5, 3), date(2026, 3, 13)]


@pytest.mark.parametrize(("day_first", "on"), [(True, date(2026, 3, 5)), (False, date(2026, 5, 3))])
def test_the_user_tells_how_dates_are_read_when_the_column_does_not(tmp_path: Path, day_first: bool, on: date) -> None:
    with club_store(tmp_path) as store:
        load_text(store, tmp_path, "events.csv", "athlete;on;event\nK01;5/3/26;tyres\n", day_first=day_first)
        assert days_of(store) == [on]


def test_column_written_both_ways_leaves_the_unclear_dates_out(tmp_path: Path) -> None:
    text = "athlete;on;event\nK01;5/3/26;tyres\nK01;13/3/26;tyres\nK01;3/14/26;tyres\nK01;4/4/26;tyres\n"
    with club_store(tmp_path) as store:
        report = load_text(store, tmp_path, "events.csv", text)
        assert [bad.value for bad in report.set_aside] == ["5/3/26"]
        assert "--day-first or --month-first" in report.set_aside[0].remedy
        assert days_of(store) == [date(2026, 3, 13), date(2026, 3, 14), date(2026, 4, 4)]


@pytest.mark.parametrize(
    ("typed", "flag"), [("yes", 1), ("No", 0), ("TRUE", 1), ("false", 0), ("x", 1), ("1", 1), ("0.0", 0), ("", None)]
)
def test_yes_and_no_as_people_write_them(tmp_path: Path, typed: str, flag: int | None) -> None:
    with club_store(tmp_path) as store:
        load_text(store, tmp_path, "attempts.csv", f"attempt;practice;drill;seconds;finished\nB1;P1;spin;9;{typed}\n")
        assert store.select("select finished from attempts where drill = 'spin'") == [{"finished": flag}]


def write_book(path: Path, sheets: dict[str, list[list[Any]]]) -> None:
    book = xlsxwriter.Workbook(str(path))
    day = book.add_format({"num_format": "yyyy-mm-dd"})
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                if isinstance(value, datetime):
                    sheet.write_datetime(r, c, value, day)
                elif value is not None:
                    sheet.write(r, c, value)
    book.close()


def test_workbook_with_merged_heading_date_cells_and_a_strange_sheet(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    write_book(
        path,
        {
            "Attempts": [
                [None, None, "Spring, both halls"],
                [],
                ["Athlete code", "Date", "Drill", "Seconds (s)", "Finished?"],
                ["K01", datetime(2026, 2, 1), "spin", 12.5, True],
                ["K01", "08.02.2026", "spin", "11,25", "x"],
                ["K01", "3/4/26", "spin", 11, "x"],
            ],
            "Events": [["athlete", "on", "event"], ["K01", datetime(2026, 2, 3), "New joystick"]],
            "Shopping": [["item", "price"], ["ball", 30]],
            "Empty": [],
        },
    )
    with club_store(tmp_path) as store:
        report = load_paths(store, [path])
        assert report.loaded == {"attempts": 2, "events": 1}
        assert [(bad.file, bad.row) for bad in report.set_aside] == [
            ("season.xlsx [Attempts]", 6),
            ("season.xlsx [Shopping]", None),
        ]
        assert seconds_of(store, "spin") == [12.5, 11.25]
        assert store.select("select event from events") == [{"event": "new_joystick"}]


def test_parquet_is_read_like_a_sheet(tmp_path: Path) -> None:
    frame = pl.DataFrame(
        {
            "attempt": ["B1", "B2"],
            "practice": ["P1", "P1"],
            "drill": ["spin", "spin"],
            "seconds": [12.5, float("nan")],
            "finished": [True, True],
            "touches": [1.0, 2.0],
        }
    )
    frame.write_parquet(tmp_path / "attempts.parquet")
    with club_store(tmp_path) as store:
        report = load_paths(store, [tmp_path / "attempts.parquet"])
        assert [(bad.row, bad.value) for bad in report.set_aside] == [(2, "nan")]
        assert store.select("select seconds, finished, touches from attempts where drill = 'spin'") == [
            {"seconds": 12.5, "finished": 1, "touches": 1}
        ]


def test_table_without_a_telling_name_is_known_by_its_headings(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        assert load_text(store, tmp_path, "export1.csv", "athlete,on,event\nK01,2026-03-01,tyres\n").loaded == {
            "events": 1
        }


@pytest.mark.parametrize(
    ("name", "table"),
    [
        ("attempts", "attempts"),
        ("Attempts", "attempts"),
        ("attempts_2026", "attempts"),
        ("attempts (2)", "attempts"),
        ("Tries - spring", "tries"),
        ("2026-attempts", "attempts"),
        ("stock", None),
    ],
)
def test_table_is_known_by_name(name: str, table: str | None) -> None:
    spec = table_named(name)
    assert (spec.name if spec else None) == table


@pytest.mark.parametrize(
    ("heading", "word"),
    [("Seconds (s)", "seconds"), ("Finished?", "finished"), ("  Old value ", "old_value"), ("Dial [%]", "dial")],
)
def test_headings_are_evened_out(heading: str, word: str) -> None:
    assert plain_word(heading) == word


def test_rows_by_date_make_their_practice_once_for_all_tables(tmp_path: Path) -> None:
    files = {
        "attempts.csv": "athlete,on,drill,seconds\nK01,2026-03-05,spin,12\nK01,2026-03-05,spin,13\n",
        "counts.csv": "athlete,on,outcome,count\nK01,2026-03-05,collisions,2\n",
    }
    with club_store(tmp_path) as store:
        report = load_paths(store, [write_files(tmp_path / "new", files)])
        assert (report.practices_made, report.set_aside) == (1, [])
        assert store.select("select practice from practices where \"on\" = date '2026-03-05'") == [
            {"practice": "K01@2026-03-05"}
        ]
        assert store.select("select distinct practice from counts") == [{"practice": "K01@2026-03-05"}]


def test_clubs_own_setting_comes_with_the_same_load(tmp_path: Path) -> None:
    files = {
        "catalogue.csv": "setting,unit,low,high,meaning\ntilt,deg,0,30,angle of the seat\n",
        "settings.csv": "athlete,chair,profile,setting,value,on\nK01,C1,2,tilt,10,2026-01-01\n",
        "changes.csv": "change,athlete,chair,profile,setting,old_value,new_value,on\n"
        "T1,K01,C1,2,tilt,10,20,2026-03-01\nT2,K01,C1,2,tilt,20,31,2026-03-02\n",
    }
    with club_store(tmp_path) as store:
        report = load_paths(store, [write_files(tmp_path / "new", files)])
        assert report.loaded == {"catalogue": 1, "settings": 1, "changes": 1}
        assert [bad.reason for bad in report.set_aside] == ["new_value is 31: tilt must be from 0 to 30"]


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("inside", ["\n", "\r\n"])
def test_line_breaks_inside_cells_and_between_rows(tmp_path: Path, ends: str, inside: str) -> None:
    text = ends.join(
        ["attempt,practice,drill,seconds,Notes", f'B1,P1,spin,12,"wet{inside}floor"', "B2,P1,spin,13,", ""]
    )
    with club_store(tmp_path) as store:
        assert load_text(store, tmp_path, "attempts.csv", text).set_aside == []
        assert seconds_of(store, "spin") == [12.0, 13.0]
        (row,) = store.select("select extra->>'Notes' as note from attempts where attempt = 'B1'")
        assert row["note"].split() == ["wet", "floor"]
