"""Every way in which a row can be unusable: it is set aside with its place, the reason and what to do."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rampbook.store.load import load_paths

from .records import club_store, load_text, write_files

ATTEMPT = "attempt,practice,athlete,profile,drill,seconds,finished,limit_s,touches,timer\n"
CHANGE = "change,athlete,chair,profile,setting,old_value,new_value,on,planned,goes_back_to,supersedes\n"
PRACTICE = "practice,athlete,on,minutes,battery_percent,dial_percent,fatigue,pain\n"
SETTING = "athlete,chair,profile,setting,value,on\n"
COUNT = "practice,athlete,profile,outcome,count,minutes\n"
RATING = "practice,athlete,profile,outcome,rating,by\n"
TRIES = "practice,athlete,profile,outcome,successes,tries\n"
EVENT = "athlete,on,event,note\n"
ATHLETE = "athlete,birth_year,consent,consent_on\n"

# File, headings, one bad row, the column at fault, and what must be said of it.
CASES = [
    ("athletes", ATHLETE, "Ann Lee,2001,club,2026-01-01", "athlete", "without spaces, never a name"),
    ("athletes", ATHLETE, ",2001,club,2026-01-01", "athlete", "athlete is empty"),
    ("athletes", ATHLETE, "K09,20001,club,", "birth_year", "whole number from 1900 to 2100"),
    ("athletes", ATHLETE, "K09,2001.5,club,", "birth_year", "whole number"),
    ("athletes", ATHLETE, "K09,2001,perhaps,", "consent", "one of club, pool, none"),
    ("athletes", ATHLETE, "K09,2001,club,soon", "consent_on", "a date such as 2026-03-05"),
    ("athletes", ATHLETE, "K01,1999,club,2026-01-01", "entry", "id K01 and other content"),
    ("settings", SETTING, "K01,C1,2,warp_speed,5,2026-01-01", "setting", "catalogue has no such setting"),
    ("settings", SETTING, "K01,C1,2,deadband,140,2026-03-01", "value", "deadband must be from 0 to 100"),
    ("settings", SETTING, "K01,C1,2,deadband,soft,2026-03-01", "value", 'value is "soft": it must be a number'),
    ("settings", SETTING, "K01,C1,2,deadband,,2026-03-01", "value", "value is empty"),
    ("settings", SETTING, "K01,C1,two,deadband,5,2026-03-01", "profile", "whole number of 0 or more"),
    ("settings", SETTING, "K01,C1,,deadband,5,2026-03-01", "profile", "profile is empty"),
    ("settings", SETTING, "K01,C1,2,deadband,5,", "on", "on is empty"),
    ("settings", SETTING, "K01,C1,2,deadband,12,2026-01-01", "entry", "and other content"),
    ("practices", PRACTICE, "P9,K77,2026-03-01,60,,,,", "athlete", "no such athlete is recorded"),
    ("practices", PRACTICE, "P9,K03,2026-03-01,60,,,,", "athlete", "consent is none"),
    ("practices", PRACTICE, "P9,K04,2026-03-01,60,,,,", "athlete", "consent is not recorded"),
    ("practices", PRACTICE, "P9,K01,2026-02-30,60,,,,", "on", "a date such as"),
    ("practices", PRACTICE, "P9,K01,1026-02-03,60,,,,", "on", "a date such as"),
    ("practices", PRACTICE, "P9,K01,3/4/26,60,,,,", "on", "could be read either way round"),
    ("practices", PRACTICE, "P9,K01,2026-03-01,0,,,,", "minutes", "a number above 0"),
    ("practices", PRACTICE, "P9,K01,2026-03-01,60,101,,,", "battery_percent", "from 0 to 100"),
    ("practices", PRACTICE, "P9,K01,2026-03-01,60,,-1,,", "dial_percent", "from 0 to 100"),
    ("practices", PRACTICE, "P9,K01,2026-03-01,60,,,11,", "fatigue", "from 0 to 10"),
    ("practices", PRACTICE, "P9,K01,2026-03-01,60,,,,10.5", "pain", "from 0 to 10"),
    ("practices", PRACTICE, "P1,K01,2026-02-01,61,,,,", "practice", "id P1 and other content"),
    ("practices", "practice,athlete,on,time\n", "P9,K01,2026-03-01,noonish", "time", "a time of day such as 18:30"),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,-3.2,1,30,0,T1", "seconds", "a number above 0"),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,0,1,30,0,T1", "seconds", "a number above 0"),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,NaN,1,30,0,T1", "seconds", 'seconds is "NaN"'),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,inf,1,30,0,T1", "seconds", 'seconds is "inf"'),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,12s,1,30,0,T1", "seconds", 'seconds is "12s"'),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,,1,30,0,T1", "seconds", "an attempt needs its time"),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,,,30,0,T1", "seconds", "an attempt needs its time"),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,12,maybe,30,0,T1", "finished", "yes or no"),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,12,1,0,0,T1", "limit_s", "a number above 0"),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,12,1,30,-1,T1", "touches", "whole number of 0 or more"),
    ("attempts", ATTEMPT, "A9,P1,K01,2,slalom,12,1,30,1.5,T1", "touches", "whole number"),
    ("attempts", ATTEMPT, "A9,P1,K01,2,,12,1,30,0,T1", "drill", "drill is empty"),
    ("attempts", ATTEMPT, "A9,P77,K01,2,slalom,12,1,30,0,T1", "practice", "no practice of that id"),
    ("attempts", ATTEMPT, "A9,Q1,K01,2,slalom,12,1,30,0,T1", "athlete", "practice of this row is another athlete"),
    ("attempts", ATTEMPT, "A9,,K01,2,slalom,12,1,30,0,T1", "practice", "there is no date to find it by"),
    ("attempts", ATTEMPT, "A9,P1,Ann Lee,2,slalom,12,1,30,0,T1", "athlete", "never a name"),
    ("attempts", ATTEMPT, "A 9,P1,K01,2,slalom,12,1,30,0,T1", "attempt", "a code without spaces"),
    ("attempts", ATTEMPT, "A1,P1,K01,2,slalom,12.6,1,30,0,T1", "attempt", "id A1 and other content"),
    ("attempts", "athlete,on,drill,seconds\n", "K01,2026-02-15,slalom,12", "practice", "had 2 practices on 2026-02-15"),
    ("attempts", "athlete,on,drill,seconds\n", ",2026-02-15,slalom,12", "athlete", "no practice says whose row"),
    ("counts", COUNT, "P1,K01,2,collisions,-1,20", "count", "whole number of 0 or more"),
    ("counts", COUNT, "P1,K01,2,collisions,,20", "count", "count is empty"),
    ("counts", COUNT, "P1,K01,2,,3,20", "outcome", "outcome is empty"),
    ("counts", COUNT, "P1,K01,2,collisions,3,0", "minutes", "a number above 0"),
    ("ratings", RATING, "P1,K01,2,comfort,11,self", "rating", "a number from 0 to 10"),
    ("ratings", RATING, "P1,K01,2,comfort,,self", "rating", "rating is empty"),
    ("ratings", RATING, "P1,K01,2,comfort,7,me", "by", "one of self, told, guess"),
    ("tries", TRIES, "P1,K01,2,passes,11,10", "successes", "more successes than tries"),
    ("tries", TRIES, "P1,K01,2,passes,-1,10", "successes", "whole number of 0 or more"),
    ("tries", TRIES, "P1,K01,2,passes,0,0", "tries", "whole number of 1 or more"),
    ("tries", TRIES, "P1,K01,2,passes,,10", "successes", "successes is empty"),
    ("events", EVENT, "K01,2026-03-01,wind,", "event", "one of new_joystick, calibration"),
    ("events", EVENT, "K01,2026-03-01,,note", "event", "event is empty"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,60,55,2026-03-01,,,", "old_value", "at 50, since change C1"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,50,30,2026-03-01,,,", "new_value", "reverse_speed_max is 40"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,50,50,2026-03-01,,,", "new_value", "nothing was changed"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,,50,2026-03-01,,,", "new_value", "on the sheet already"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,50,101,2026-03-01,,,", "new_value", "must be from 0 to 100"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,50,,2026-03-01,,,", "new_value", "new_value is empty"),
    ("changes", CHANGE, "C9,K01,C1,2,warp_speed,50,40,2026-03-01,,,", "setting", "catalogue has no such setting"),
    ("changes", CHANGE, "C9,K01,C1,2,turn_speed_max,50,40,2026-03-01,,,", "setting", "has no turn_speed_max on"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,50,55,2026-03-01,2,,", "planned", "yes or no"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,50,60,2026-03-01,,C77,", "goes_back_to", "no such change"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,50,55,2026-03-01,,C1,", "new_value", "means its old value 60"),
    ("changes", CHANGE, "C9,K01,C1,2,deadband,10,12,2026-03-01,,C1,", "goes_back_to", "was of forward_speed_max"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,60,55,2026-01-15,,,", "new_value", "starts from 60"),
    ("changes", CHANGE, "C9,K01,C1,2,forward_speed_max,60,55,2026-02-05,,,C77", "supersedes", "no such row"),
    ("changes", CHANGE, "C1,K01,C1,2,forward_speed_max,60,55,2026-02-05,,,", "change", "id C1 and other content"),
    ("catalogue", "setting,unit,low,high,meaning\n", "tilt,1,50,10,seat", "high", "must be above low"),
]


@pytest.mark.parametrize(("table", "headings", "row", "column", "said"), CASES)
def test_bad_row_is_set_aside_with_its_place_and_reason(
    tmp_path: Path, table: str, headings: str, row: str, column: str, said: str
) -> None:
    with club_store(tmp_path) as store:
        before = store.select(f"select count(*) as n from {table}")
        report = load_text(store, tmp_path, f"{table}.csv", headings + row + "\n")
        (bad,) = report.set_aside
        assert (bad.file, bad.row, bad.column) == (f"{table}.csv", 2, column)
        assert re.search(re.escape(said), bad.reason), bad.reason
        assert bad.remedy.endswith(".")
        assert report.loaded == {table: 0}
        assert store.select(f"select count(*) as n from {table}") == before
        (kept,) = store.select('select file, "row", reason, content from set_aside')
        assert (kept["file"], kept["row"], kept["reason"]) == (bad.file, bad.row, bad.reason)
        assert all(cell in kept["content"] for cell in row.split(",") if cell)


def test_good_rows_beside_a_bad_one_go_in(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        text = (
            ATTEMPT
            + "B1,P1,K01,2,slalom,12,1,30,0,T1\nB2,P1,K01,2,slalom,x,1,30,0,T1\nB3,P1,K01,2,slalom,11,1,30,0,T1\n"
        )
        report = load_text(store, tmp_path, "attempts.csv", text)
        assert report.loaded == {"attempts": 2}
        assert [(bad.row, bad.value) for bad in report.set_aside] == [(3, "x")]


def test_a_change_s_role_is_one_of_the_list_in_any_case_or_empty(tmp_path: Path) -> None:
    headings = "change,athlete,chair,profile,setting,old_value,new_value,on,role\n"
    rows = (
        "C7,K01,C1,2,deadband,10,11,2026-03-01,Coach\n"
        "C8,K01,C1,2,deadband,11,12,2026-03-02,\n"
        "C9,K01,C1,2,deadband,12,13,2026-03-03,Dr. Meyer\n"
    )
    with club_store(tmp_path) as store:
        (bad,) = load_text(store, tmp_path, "changes.csv", headings + rows).set_aside
        assert (bad.row, bad.column) == (4, "role")
        assert "one of athlete, coach, technician, therapist, family, other" in bad.reason
        kept = store.select("select change, role from changes where change in ('C7', 'C8', 'C9') order by change")
        assert kept == [{"change": "C7", "role": "coach"}, {"change": "C8", "role": None}]


def test_attempt_typed_twice_without_an_id_is_set_aside(tmp_path: Path) -> None:
    text = "athlete,on,drill,seconds\nK01,2026-02-01,slalom,12.5\nK01,2026-02-01,slalom,12.5\n"
    with club_store(tmp_path) as store:
        (bad,) = load_text(store, tmp_path, "attempts.csv", text).set_aside
        assert bad.row == 3
        assert re.search("same as row 2 and has no id: it looks typed twice", bad.reason)
        assert re.search("give each its own id in the column attempt", bad.remedy)


def test_same_id_twice_in_one_file_with_other_content_is_set_aside(tmp_path: Path) -> None:
    text = ATTEMPT + "B1,P1,K01,2,slalom,12,1,30,0,T1\nB1,P1,K01,2,slalom,13,1,30,0,T1\n"
    with club_store(tmp_path) as store:
        report = load_text(store, tmp_path, "attempts.csv", text)
        assert [(bad.row, bad.column) for bad in report.set_aside] == [(3, "attempt")]
        assert re.search("row 2 has the same id B1 with other content", report.set_aside[0].reason)


def test_same_id_twice_in_one_file_with_the_same_content_is_there_already(tmp_path: Path) -> None:
    text = ATTEMPT + "B1,P1,K01,2,slalom,12,1,30,0,T1\nB1,P1,K01,2,slalom,12,1,30,0,T1\n"
    with club_store(tmp_path) as store:
        report = load_text(store, tmp_path, "attempts.csv", text)
        assert (report.loaded, report.already_there, report.set_aside) == ({"attempts": 1}, {"attempts": 1}, [])


def test_second_correction_of_the_same_row_is_set_aside(tmp_path: Path) -> None:
    text = "attempt,practice,drill,seconds,supersedes\nB1,P1,slalom,12,A1\nB2,P1,slalom,13,A1\n"
    with club_store(tmp_path) as store:
        report = load_text(store, tmp_path, "attempts.csv", text)
        assert [(bad.row, bad.column) for bad in report.set_aside] == [(3, "supersedes")]
        assert re.search("B1 corrects that row already", report.set_aside[0].reason)


def test_correction_of_another_athletes_row_is_set_aside(tmp_path: Path) -> None:
    text = "attempt,practice,drill,seconds,supersedes\nB1,Q1,slalom,12,A1\n"
    with club_store(tmp_path) as store:
        (bad,) = load_text(store, tmp_path, "attempts.csv", text).set_aside
        assert re.search("that row is another athlete's", bad.reason)


def test_blocked_change_says_the_order_of_steps_that_would_free_it(tmp_path: Path) -> None:
    row = "C9,K01,C1,2,forward_speed_max,50,30,2026-03-01,,,\n"
    with club_store(tmp_path) as store:
        (bad,) = load_text(store, tmp_path, "changes.csv", CHANGE + row).set_aside
        assert re.search(r"reverse_speed_max to 30, then forward_speed_max to 30", bad.remedy)


def test_unknown_table_is_set_aside_as_a_whole_and_says_what_was_expected(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        (bad,) = load_text(store, tmp_path, "stock.csv", "item,price\nball,30\n").set_aside
        assert (bad.file, bad.row) == ("stock.csv", None)
        assert re.search("not clear which table this is; found: item, price", bad.reason)
        assert "attempts" in bad.remedy


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("attempts.csv", b"", "the file is empty"),
        ("attempts.parquet", b"nothing", "cannot be read as Parquet"),
        ("attempts.xlsx", b"nothing", "the workbook cannot be opened"),
    ],
)
def test_unreadable_file_is_set_aside_as_a_whole(tmp_path: Path, name: str, content: bytes, said: str) -> None:
    (tmp_path / name).write_bytes(content)
    with club_store(tmp_path) as store:
        (bad,) = load_paths(store, [tmp_path / name]).set_aside
        assert re.search(said, bad.reason), bad.reason


def test_rows_of_a_practice_that_was_set_aside_are_set_aside_too(tmp_path: Path) -> None:
    files = {
        "practices.csv": "practice,athlete,on,minutes\nP9,K01,2026-03-01,-5\n",
        "attempts.csv": "attempt,practice,drill,seconds\nB1,P9,slalom,12\n",
    }
    with club_store(tmp_path) as store:
        report = load_paths(store, [write_files(tmp_path / "new", files)])
        assert [(bad.file, bad.column) for bad in report.set_aside] == [
            ("practices.csv", "minutes"),
            ("attempts.csv", "practice"),
        ]
