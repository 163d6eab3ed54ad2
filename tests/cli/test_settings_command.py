"""``rampbook settings``."""

from __future__ import annotations

import subprocess
import sys
from datetime import date

import pytest

from rampbook.domain.cautions import ALWAYS

from .conftest import Club


def test_the_sheet_as_it_stood_on_a_day(club: Club) -> None:
    club.change("throw_left", "50", "--id", "CH1")
    before = club.json("settings", "A01", "--on", "2026-02-09")
    after = club.json("settings", "A01", "--on", "2026-02-10")
    assert (before["athlete"], before["on"]) == ("A01", "2026-02-09")
    assert {"profile", "setting", "value", "since", "change"} <= before["rows"][0].keys()
    throw = [[r for r in sheet["rows"] if r["setting"] == "throw_left"] for sheet in (before, after)]
    assert [(r["value"], r["since"], r["change"]) for rows in throw for r in rows] == [
        (60.0, "2026-01-10", None),
        (50.0, "2026-02-10", "CH1"),
    ]
    assert (throw[1][0]["role"], throw[1][0]["reason"]) == ("coach", "a try")


def test_the_day_is_today_when_none_is_given(club: Club) -> None:
    assert club.json("settings", "A01")["on"] == date.today().isoformat()


def test_before_the_first_sheet_nothing_is_made_up(club: Club) -> None:
    assert club.json("settings", "A01", "--on", "2026-01-09")["rows"] == []
    assert "Nothing is on the sheet" in club.run("settings", "A01", "--on", "2026-01-09")


def test_people_see_who_why_and_every_caution(club: Club) -> None:
    club.change("throw_left", "50", "--planned", "--id", "CH1")
    shown = club.run("settings", "A01")
    assert "throw_left         50     2026-02-10  CH1     coach  a try; planned" in shown
    assert "read from the chair" in shown
    for line in ALWAYS:
        assert line in shown


def test_a_wish_that_is_blocked_gets_the_order_of_steps(club: Club) -> None:
    answer = club.json("settings", "A01", "--can", "forward_speed_max=15")
    assert answer["allowed"] is False
    assert answer["blocked_by"] == [
        {
            "setting": "reverse_speed_max",
            "value": 60.0,
            "rule": "reverse_speed_max can't be above forward_speed_max",
        }
    ]
    assert answer["steps"] == [
        {"setting": "reverse_speed_min", "value": 15.0},
        {"setting": "reverse_speed_max", "value": 15.0},
        {"setting": "forward_speed_max", "value": 15.0},
    ]
    shown = club.run("settings", "A01", "--can", "forward_speed_max=15")
    assert shown.index("1. reverse_speed_min from 20 to 15") < shown.index(
        "3. forward_speed_max from 80 to 15"
    )
    assert shown.index("forward_speed_max back to 80") < shown.index("reverse_speed_min back to 20")
    for line in ALWAYS:
        assert line in shown


def test_the_steps_of_the_answer_can_be_taken(club: Club) -> None:
    for step in club.json("settings", "A01", "--can", "forward_speed_max=15")["steps"]:
        club.change(step["setting"], str(step["value"]))
    assert club.json("settings", "A01", "--can", "forward_speed_max=15")["allowed"] is True


def test_an_allowed_wish_changes_nothing(club: Club) -> None:
    answer = club.json("settings", "A01", "--can", "throw_left=45,5")
    assert (answer["allowed"], answer["blocked_by"], answer["steps"]) == (True, [], [])
    assert club.rows("changes") == []


def test_an_impossible_wish_says_why(club: Club) -> None:
    answer = club.json("settings", "A01", "--can", "throw_left=0")
    assert (answer["allowed"], answer["steps"]) == (False, [])
    assert answer["impossible"] == "deadband would have to go below its smallest value, 0"


def test_a_rule_that_could_not_be_checked_is_reported(club: Club) -> None:
    answer = club.json("settings", "A01", "--can", "forward_speed_max=70")
    assert answer["allowed"] is True
    assert [u["setting"] for u in answer["not_checked"]] == ["forward_speed_min"]


def test_a_wish_is_for_one_profile(club: Club) -> None:
    club.run("sheet", "A01", "--chair", "C1", "--profile", "2", "--on", "2026-01-10", "forward_speed_max=30")
    message = club.run("settings", "A01", "--can", "reverse_speed_max=40", exit_code=2)
    assert "A01 has more than one profile: 1, 2. Say which with --profile" in message
    assert club.json("settings", "A01", "--profile", "2", "--can", "reverse_speed_max=40")["allowed"] is False
    assert club.json("settings", "A01", "--profile", "1", "--can", "reverse_speed_max=40")["allowed"] is True


def test_two_chairs_are_never_mixed(club: Club) -> None:
    club.run("sheet", "A01", "--chair", "C2", "--profile", "1", "--on", "2026-01-11", "forward_speed_max=30")
    message = club.run("settings", "A01", "--can", "reverse_speed_max=40", exit_code=2)
    assert "A01 has more than one chair: C1, C2. Say which with --chair" in message
    assert club.json("settings", "A01", "--chair", "C1", "--can", "reverse_speed_max=40")["allowed"] is True


def test_a_sheet_without_a_chair_is_of_the_only_chair(club: Club) -> None:
    club.run("sheet", "A01", "turn_speed_max=70", "--profile", "2", "--on", "2026-01-11")
    assert {row["chair"] for row in club.rows("settings")} == {"C1"}
    assert club.json("settings", "A01", "--profile", "2", "--can", "turn_speed_max=60")["allowed"] is True
    assert "Logged" in club.change("throw_left", "50")


def test_a_sheet_without_a_chair_is_refused_when_there_are_several(club: Club) -> None:
    club.run("sheet", "A01", "--chair", "C2", "--profile", "1", "--on", "2026-01-11", "forward_speed_max=30")
    n = len(club.rows("settings"))
    message = club.run("sheet", "A01", "turn_speed_max=70", "--profile", "2", exit_code=2)
    assert "A01 has more than one chair: C1, C2. Say which with --chair; nothing was saved." in message
    assert len(club.rows("settings")) == n


def test_hints_at_the_sheet_command_name_the_chair(club: Club) -> None:
    shown = club.run("settings", "A01", "--profile", "3")
    assert "rampbook sheet A01 --profile 3 --chair C1 SETTING=VALUE ..." in shown
    wish = ("--profile", "3", "--setting", "deadband", "--to", "9", "--on", "2026-02-10")
    message = club.run("change", "A01", *wish, "--why", "a try", "--role", "coach", exit_code=2)
    assert "rampbook sheet A01 --profile 3 --chair C1 --on 2026-02-10 deadband=OLD." in message


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("B07",), 'no athlete "B07". It knows A01.'),
        (("A01", "--on", "3/4/26"), '--on is "3/4/26": write a day that exists as YYYY-MM-DD'),
        (("A01", "--on", "2026-02-30"), '--on is "2026-02-30": write a day that exists'),
        (("A01", "--can", "throw_left=NaN"), 'throw_left is "NaN": it must be a number such as 12.4 or 12,4'),
        (("A01", "--can", "throw_left"), '--can is "throw_left": write NAME=VALUE'),
        (("A01", "--can", "throw_left=1" + "0" * 400), "that is too large to be a number."),
        (("A01", "--profile", "two"), '--profile is "two": it must be a whole number, 0 or above.'),
        (("A01", "--can", "throw=5"), 'no setting "throw". Did you mean throw_forward'),
    ],
)
def test_what_cannot_be_used_is_refused_with_what_to_do(club: Club, args: tuple[str, ...], said: str) -> None:
    message = club.run("settings", *args, exit_code=2)
    assert said in message
    # A question saves nothing anyway.
    assert "saved" not in message


def test_a_future_day_is_warned_of(club: Club) -> None:
    assert "2199-01-01 is in the future" in club.run("settings", "A01", "--on", "2199-01-01")


def test_no_store_is_made_by_looking(tmp_path_factory: pytest.TempPathFactory) -> None:
    nowhere = Club(tmp_path_factory.mktemp("empty") / "none.duckdb")
    assert "There is no store at" in nowhere.run("settings", "A01", exit_code=2)
    assert not nowhere.path.exists()


def test_history_lists_every_change_with_its_id_oldest_first(club: Club) -> None:
    club.change("throw_left", "50", "--planned", "--id", "CH1")
    club.change("deadband", "12", "--id", "CH2", on="2026-02-05")
    club.run("goback", "CH1", "--id", "CH3", "--on", "2026-02-17", "--role", "athlete", "--why", "wide turns")
    history = club.json("settings", "A01", "--history")["history"]
    assert [(r["change"], r["on"], r["setting"], r["old_value"], r["new_value"]) for r in history] == [
        ("CH2", "2026-02-05", "deadband", 10.0, 12.0),
        ("CH1", "2026-02-10", "throw_left", 60.0, 50.0),
        ("CH3", "2026-02-17", "throw_left", 50.0, 60.0),
    ]
    lines = club.run("settings", "A01", "--history").splitlines()
    assert [line.split()[0] for line in lines[2:6]] == ["change", "CH2", "CH1", "CH3"]
    for part in ("2026-02-17", "throw_left", "50 → 60", "athlete", "wide turns; goes back to before CH1"):
        assert part in lines[5]


def test_history_without_a_change_or_with_a_wish(club: Club) -> None:
    assert club.json("settings", "A01", "--history")["history"] == []
    assert "No change of A01 is in the log here" in club.run("settings", "A01", "--history")
    assert "Give one of them" in club.run("settings", "A01", "--history", "--can", "deadband=12", exit_code=2)
    assert "history" not in club.json("settings", "A01")
    assert "rampbook settings ATHLETE --history" in club.run("goback", "CH9", exit_code=2)


def test_history_loads_no_heavy_library(club: Club) -> None:
    club.change("throw_left", "50", "--id", "CH1")
    code = (
        "import sys\nfrom typer.testing import CliRunner\nfrom rampbook.cli.app import app\n"
        f"done = CliRunner().invoke(app, ['settings', 'A01', '--history', '--store', {str(club.path)!r}])\n"
        "assert done.exit_code == 0 and 'CH1' in done.output, done.output\n"
        "print(sorted({'polars', 'numpy', 'scipy', 'altair', 'pandas'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == "[]"
