"""``rampbook settings``: a whole month, the history of one setting, and what differs between two sheets."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from rampbook.domain.cautions import ALWAYS

from .conftest import Club


@pytest.fixture
def autumn(club: Club) -> Club:
    """Two changes of one setting in February, one there and back, and a check of the sheet in March."""
    club.change("throw_left", "50", "--planned", "--id", "CH1", on="2026-02-03")
    club.change("throw_left", "45", "--id", "CH2", on="2026-02-20")
    club.change("deadband", "12", "--id", "CH3", on="2026-02-10")
    club.run("goback", "CH3", "--id", "CH4", "--on", "2026-02-24", "--role", "therapist", "--why", "drifted")
    check = ("throw_left=45", "reverse_speed_min=25")
    club.run("sheet", "A01", "--chair", "C1", "--profile", "1", "--on", "2026-03-09", *check, exit_code=1)
    return club


def words(text: str) -> list[str]:
    """Return lines with single spaces, so that a test does not hang on the width of a column."""
    return [" ".join(line.split()) for line in text.splitlines()]


def test_a_reading_that_confirms_a_value_leaves_its_change_and_day(autumn: Club) -> None:
    (row,) = autumn.json("settings", "A01", "--on", "2026-03-20", "--setting", "throw_left")["rows"]
    assert (row["value"], row["since"], row["change"]) == (45.0, "2026-02-20", "CH2")
    assert (row["role"], row["reason"], row["old_value"]) == ("coach", "a try", 50.0)
    assert (row["checked_on"], row["until"]) == ("2026-03-09", None)
    assert "place" not in row
    shown = words(autumn.run("settings", "A01", "--on", "2026-03-20"))
    assert "throw_left 45 2026-02-20 CH2 coach a try; read again on 2026-03-09" in shown


def test_a_reading_that_contradicts_the_sheet_says_that_no_change_is_logged(autumn: Club) -> None:
    shown = words(autumn.run("settings", "A01", "--on", "2026-03-09"))
    found = "reverse_speed_min 25 2026-03-09 - - read from the chair; before it 20 stood, and no change is logged"
    assert found in shown


def test_a_month_lists_every_value_that_stood_in_it(autumn: Club) -> None:
    answer = autumn.json("settings", "A01", "--on", "2026-02", "--setting", "throw_left")
    assert (answer["on"], answer["from"], answer["to"]) == ("2026-02", "2026-02-01", "2026-02-28")
    assert [(r["value"], r["since"], r["until"], r["change"]) for r in answer["rows"]] == [
        (60.0, "2026-01-10", "2026-02-03", None),
        (50.0, "2026-02-03", "2026-02-20", "CH1"),
        (45.0, "2026-02-20", None, "CH2"),
    ]
    shown = autumn.run("settings", "A01", "--on", "2026-02")
    assert "in February 2026: every value that stood at some time in that month" in shown
    assert "Moved in that month: deadband (profile 1, chair C1), throw_left (profile 1, chair C1)." in shown
    assert "throw_left 50 2026-02-03 2026-02-20 CH1 coach a try; planned" in words(shown)
    assert all(line in shown for line in ALWAYS)


def test_a_month_in_which_nothing_moved_says_so(autumn: Club) -> None:
    assert "Moved in that month: nothing." in autumn.run("settings", "A01", "--on", "2026-04")
    assert len(autumn.json("settings", "A01", "--on", "2026-04")["rows"]) == 5
    assert autumn.json("settings", "A01", "--on", "2025-12")["rows"] == []
    assert "Nothing was on the sheet in that month" in autumn.run("settings", "A01", "--on", "2025-12")


def test_the_history_of_one_setting_is_every_value_it_had(autumn: Club) -> None:
    answer = autumn.json("settings", "A01", "--history", "--setting", "deadband")
    assert [(r["value"], r["change"]) for r in answer["values"]] == [(10.0, None), (12.0, "CH3"), (10.0, "CH4")]
    assert [r["change"] for r in answer["history"]] == ["CH3", "CH4"]
    shown = words(autumn.run("settings", "A01", "--history", "--setting", "deadband"))
    assert "10 2026-02-24 now CH4 therapist drifted; goes back to before CH3" in shown
    assert "12 2026-02-10 2026-02-24 CH3 coach a try" in shown
    assert "It is on no sheet here." in autumn.run("settings", "A01", "--history", "--setting", "throw_right")


def test_a_corrected_change_stands_once_and_names_what_it_corrects(autumn: Club) -> None:
    autumn.change("throw_left", "46", "--id", "CH5", "--supersedes", "CH2", on="2026-02-20", exit_code=0)
    values = autumn.json("settings", "A01", "--history", "--setting", "throw_left")["values"]
    assert [(r["value"], r["change"], r["supersedes"]) for r in values][:3] == [
        (60.0, None, None),
        (50.0, "CH1", None),
        (46.0, "CH5", "CH2"),
    ]


def test_two_days_differ_by_the_changes_between_them(autumn: Club) -> None:
    answer = autumn.json("settings", "A01", "--on", "2026-03-10", "--against", "2026-02-01")
    assert (answer["left"]["on"], answer["right"]["on"], answer["compared"]) == ("2026-02-01", "2026-03-10", True)
    found = {row["setting"]: row for row in answer["differences"]}
    assert list(found) == ["reverse_speed_min", "throw_left"]
    throw = found["throw_left"]
    assert (throw["left"]["value"], throw["right"]["value"]) == (60.0, 45.0)
    assert [(b["change"], b["role"]) for b in throw["between"]] == [("CH1", "coach"), ("CH2", "coach")]
    assert found["reverse_speed_min"]["between"][0]["change"] is None
    assert (answer["same"], [row["setting"] for row in answer["there_and_back"]]) == (2, ["deadband"])


def test_people_read_the_difference_of_two_days(autumn: Club) -> None:
    shown = autumn.run("settings", "A01", "--on", "2026-02-01", "--against", "2026-03-10")
    lines = words(shown)
    assert lines[0] == "Settings of A01: what differs between 2026-02-01 and 2026-03-10"
    assert "setting 2026-02-01 2026-03-10 by" in lines
    start = lines.index("throw_left 60 45 CH1 on 2026-02-03, 60 → 50, coach: a try; planned")
    assert lines[start + 1].startswith("CH2 on 2026-02-20, 50 → 45, coach: a try")
    assert "2 values are the same. Add --all to list them." in lines
    assert (
        "deadband (profile 1, chair C1) was changed in between and is back where it was: CH3, CH4." in lines
    )
    assert not any(line.startswith("forward_speed_max") for line in lines)
    assert all(line in shown for line in ALWAYS)
    every = words(autumn.run("settings", "A01", "--on", "2026-02-01", "--against", "2026-03-10", "--all"))
    assert "forward_speed_max 80 80" in every


def test_days_on_which_nothing_differs_say_so(autumn: Club) -> None:
    shown = autumn.run("settings", "A01", "--on", "2026-03-10", "--against", "2026-03-11")
    assert "No value differs." in shown and "5 values are the same." in shown
    assert autumn.json("settings", "A01", "--on", "2026-03-10", "--against", "2026-03-11")["differences"] == []


def test_two_profiles_differ_and_each_side_says_where_it_came_from(autumn: Club) -> None:
    sheet = ("forward_speed_max=30", "throw_left=45", "throw_right=70")
    autumn.run("sheet", "A01", "--chair", "C1", "--profile", "2", "--on", "2026-01-11", *sheet)
    # With two profiles there is only one other.
    answer = autumn.json("settings", "A01", "--on", "2026-03-10", "--against", "profile=2")
    assert (answer["left"]["profile"], answer["right"]["profile"]) == (1, 2)
    found = {row["setting"]: (row["left"], row["right"]) for row in answer["differences"]}
    assert sorted(found) == ["deadband", "forward_speed_max", "reverse_speed_max", "reverse_speed_min", "throw_right"]
    assert found["throw_right"][0] is None and found["deadband"][1] is None
    shown = words(autumn.run("settings", "A01", "--profile", "1", "--on", "2026-03-10", "--against", "profile=2"))
    assert "Settings of A01 on 2026-03-10: what differs between profile 1 and profile 2" in shown
    line = "forward_speed_max 80 30 profile 1: 2026-01-10, read from the chair"
    assert shown[shown.index(line) + 1] == "profile 2: 2026-01-11, read from the chair"
    assert "throw_right not on the sheet 70 profile 2: 2026-01-11, read from the chair" in shown


def chairs(club: Club, folder: Path, second: str, *, throw: str = "") -> None:
    """Give A01 a second chair, and load what both chairs' scales are called."""
    club.run("sheet", "A01", "--chair", "C2", "--profile", "1", "--on", "2026-01-11", "deadband=10", "throw_left=70")
    folder.mkdir()
    heads = "chair,athlete,scale,scale_definition,throw_definition"
    lines = [heads, "C1,A01,club_a,0 to 100,", f"C2,A01,{second},{throw}"]
    (folder / "chairs.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    club.run("load", str(folder))


def test_two_chairs_of_one_scale_are_compared(autumn: Club, tmp_path: Path) -> None:
    chairs(autumn, tmp_path / "in", "club_a,0 to 100")
    answer = autumn.json("settings", "A01", "--chair", "C1", "--on", "2026-03-10", "--against", "chair=C2")
    assert (answer["compared"], answer["left"]["scale"], answer["right"]["scale"]) == (True, "club_a", "club_a")
    throw = next(row for row in answer["differences"] if row["setting"] == "throw_left")
    assert (throw["left"]["value"], throw["right"]["value"], throw["profile"]) == (45.0, 70.0, 1)


def test_throw_is_left_out_where_its_numbers_mean_two_things(autumn: Club, tmp_path: Path) -> None:
    chairs(autumn, tmp_path / "in", "club_a,0 to 100", throw="at_full_travel")
    autumn.run("sheet", "A01", "--chair", "C2", "--profile", "1", "--on", "2026-01-12", "forward_speed_max=70")
    ask = ("settings", "A01", "--chair", "C1", "--on", "2026-03-10", "--against", "chair=C2")
    answer = autumn.json(*ask)
    assert answer["compared"] is True and answer["throw_not_compared"].startswith("Throw is not compared: on C1")
    found = [row["setting"] for row in answer["differences"]]
    assert "forward_speed_max" in found and "throw_left" not in found
    shown = autumn.run(*ask)
    assert "Throw is not compared: on C1 a number says how far the joystick must go" in shown
    assert "throw_left" not in shown


def test_numbers_of_two_scales_are_never_compared_and_what_can_be_said_is(autumn: Club, tmp_path: Path) -> None:
    chairs(autumn, tmp_path / "in", "club_b,1 to 10")
    ask = ("settings", "A01", "--on", "2026-03-10", "--against", "chair=C2")
    answer = autumn.json(*ask, exit_code=1)
    assert (answer["compared"], answer["differences"]) == (False, [])
    assert answer["on_both"] == ["deadband", "throw_left"]
    assert answer["only_left"] == ["forward_speed_max", "reverse_speed_max", "reverse_speed_min"]
    assert (answer["last_change"]["left"]["change"], answer["last_change"]["right"]) == ("CH4", None)
    shown = autumn.run(*ask, exit_code=1)
    assert "The numbers of chair C1 and chair C2 are not compared: C1 counts on the scale club_a" in shown
    assert "Numbers of two scales are never compared." in shown
    # No value of the second chair is shown beside one of the first.
    assert not re.search(r"\b(70|45|80)\b", "\n".join(shown.split("\n\n")[:2]))


def test_chairs_whose_scale_is_not_known_are_not_compared(autumn: Club) -> None:
    autumn.run("sheet", "A01", "--chair", "C2", "--profile", "1", "--on", "2026-01-11", "deadband=10")
    shown = autumn.run("settings", "A01", "--on", "2026-03-10", "--against", "chair=C2", exit_code=1)
    assert "the scale of C1 and of C2 is not written down" in shown


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--on", "2026-13"), "A whole month is written YYYY-MM, for example 2026-03."),
        (("--against", "2026-02"), 'is the month "2026-02": a comparison needs one day, for example 2026-02-28'),
        (("--on", "2026-02", "--against", "2026-03-01"), "--on is the month 2026-02. Give a day"),
        (("--on", "2026-02", "--can", "deadband=9"), "--can asks about one day, and --on is the month 2026-02"),
        (("--against", "2026-02-01", "--history"), "--history and --against ask two things"),
        (("--all",), "Give --against as well"),
        (("--against", "colour=red"), "write a day as YYYY-MM-DD, profile=N or chair=CODE"),
        (("--against", "profile=two"), 'profile is "two": it must be a whole number'),
        (("--against", "2026-02-01", "--against", "2026-02-02"), "gives two of one kind"),
        (("--on", "2026-02-01", "--against", "2026-02-01"), "Both sides are the same sheet"),
        (("--against", "profile=9", "--profile", "1"), "Nothing stood on the sheet of A01, profile 9, on"),
        (("--against", "2025-01-01"), "Sheets there are: profile 1, chair C1 from 2026-01-10"),
        (("--against", "profile=1"), "Which profile is to be compared with profile 1? There is no other"),
        (("--setting", "deadbad"), 'There is no setting "deadbad"'),
    ],
)
def test_what_cannot_be_asked_is_refused_with_what_to_do(club: Club, args: tuple[str, ...], said: str) -> None:
    assert said in club.run("settings", "A01", *args, exit_code=2)


def test_the_help_answers_what_was_it_in_october(club: Club) -> None:
    shown = " ".join(club.run("settings", "--help").split())
    assert "What was it in October? --on 2025-10 lists every value" in shown
    assert "What differs? --against 2025-10-01" in shown


def test_a_difference_and_a_month_load_no_heavy_library(autumn: Club) -> None:
    code = (
        "import sys\nfrom typer.testing import CliRunner\nfrom rampbook.cli.app import app\n"
        f"for more in (['--on', '2026-02'], ['--on', '2026-02-01', '--against', '2026-03-10']):\n"
        f"    done = CliRunner().invoke(app, ['settings', 'A01', *more, '--store', {str(autumn.path)!r}])\n"
        "    assert done.exit_code == 0 and 'CH1' in done.output, done.output\n"
        "print(sorted({'polars', 'numpy', 'scipy', 'altair', 'pandas', 'jinja2', 'typst'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == "[]"
