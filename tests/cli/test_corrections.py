"""A typing mistake is put right by a new row that names the old one, and both stay on record."""

from __future__ import annotations

from .conftest import Club

SHEET = ("sheet", "A01", "--profile", "1", "--on", "2026-01-10")
HOW = ("--direction", "forward", "--method", "gates", "--profile", "1", "--dial", "100")
PASS = ("speed", "A01", "--gate", "19.5", *HOW)
NOW = ("--on", "2026-02-01")


def sheet_value(club: Club, setting: str, on: str) -> float:
    rows = club.json("settings", "A01", "--on", on)["rows"]
    return float(next(row["value"] for row in rows if row["setting"] == setting))


def test_a_mistyped_sheet_is_corrected_the_same_day(club: Club) -> None:
    assert "give the right value with --correct" in club.run(*SHEET, "deadband=12", exit_code=2)
    assert sheet_value(club, "deadband", "2026-01-11") == 10
    club.run(*SHEET, "deadband=12", "--correct")
    assert sheet_value(club, "deadband", "2026-01-11") == 12
    assert sorted(row["value"] for row in club.rows("settings") if row["setting"] == "deadband") == [10, 12]
    club.run("check")


def test_the_same_value_again_is_no_correction(club: Club) -> None:
    assert "Nothing was added" in club.run(*SHEET, "deadband=10", "--correct")


def test_a_reading_that_a_change_started_from_is_not_corrected_under_it(club: Club) -> None:
    club.change("deadband", "8")
    assert "changed since, starting from there" in club.run(*SHEET, "deadband=12", "--correct", exit_code=2)
    assert sheet_value(club, "deadband", "2026-02-11") == 8


def test_a_mistyped_pass_is_corrected(club: Club) -> None:
    club.run(*PASS, *NOW, "--seconds", "0.1", exit_code=1)
    shown = club.run(*PASS, *NOW, "--seconds", "7.20", "--correct")
    assert "702.000" not in shown and "9.750" in shown
    assert len(club.rows("speed_passes")) == 2


def test_a_correction_needs_something_to_correct(club: Club) -> None:
    assert "there is none to correct" in club.run(*PASS, *NOW, "--seconds", "7.20", "--correct", exit_code=2)
    assert "give one" in club.run(*PASS, *NOW, "--seconds", "7.2", "--seconds", "7.3", "--correct", exit_code=2)


def test_going_back_on_a_return_says_that_the_value_was_tried_and_left(club: Club) -> None:
    club.change("deadband", "8", "--id", "T1")
    club.run("goback", "T1", "--id", "T2", "--on", "2026-02-12")
    assert "Take care: 8 is the value of T1, which was tried and taken back" in club.run(
        "goback", "T2", "--on", "2026-02-13"
    )
    assert "Take care" not in club.run("goback", "T1", "--id", "T2", "--on", "2026-02-12")
