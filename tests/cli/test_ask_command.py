"""``rampbook ask``."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from rampbook.domain.cautions import ALWAYS, FELT_GAIN, LONGER_STOP, RECHECK_SPEED

from .conftest import Club


def test_the_list_names_every_symptom_and_says_what_it_is(club: Club) -> None:
    shown = club.run("ask")
    assert "drifts                It drifts from a straight line" in shown
    assert "Common practice, no source. First questions only, never a diagnosis." in shown
    assert len(club.json("ask")["symptoms"]) == 5


def test_the_list_needs_no_store(tmp_path: Path) -> None:
    nowhere = Club(tmp_path / "none.duckdb")
    assert "1. Run the joystick calibration as the maker describes it, and log it." in nowhere.run("ask", "drifts")
    assert not nowhere.path.exists()


def test_with_an_athlete_it_shows_the_value_one_step_and_what_to_type(club: Club) -> None:
    shown = club.run("ask", "jerks-at-rest", "A01")
    assert "deadband up by 2: 10 to 12" in shown
    assert "rampbook event A01 --event calibration" in shown
    change = 'rampbook change A01 --profile 1 --chair C1 --setting deadband --from 10 --to 12 --why "it jerks or creeps'
    assert shown.index("--event calibration") < shown.index("before anything is changed") < shown.index(change)
    for line in (*ALWAYS, FELT_GAIN, RECHECK_SPEED):
        assert line in shown
    assert club.rows("changes") == []


def test_the_lines_to_type_can_be_typed(club: Club) -> None:
    lines = club.json("ask", "jerks-at-rest", "A01")["log_next"]
    for line in lines[:4]:
        typed = re.sub(r"\s{3}\(.*\)$", "", line.replace("ROLE", "coach").replace("=N", "=3"))
        words = [word.strip('"') for word in re.findall(r'"[^"]*"|\S+', typed)]
        assert words[0] == "rampbook"
        club.run(*words[1:], *(["--on", "2026-03-01"] if words[1] != "practice" else []))
    assert [row["event"] for row in club.rows("events")] == ["calibration"]
    assert [(row["old_value"], row["new_value"]) for row in club.rows("changes")] == [(10.0, 12.0)]


def test_a_step_that_is_blocked_shows_what_blocks_it_and_the_order_of_steps(club: Club) -> None:
    club.run("sheet", "A01", "--profile", "2", "--on", "2026-01-10", "deadband=10", "throw_left=11")
    answer = club.json("ask", "jerks-at-rest", "A01", "--profile", "2")
    [tried] = answer["could_be_tried"]
    assert (tried["value"], tried["next"], tried["allowed"]) == (10.0, 12.0, False)
    assert tried["blocked_by"][0]["setting"] == "throw_left"
    shown = club.run("ask", "jerks-at-rest", "A01", "--profile", "2")
    assert "is blocked: throw_left must be above deadband (throw_left is 11)" in shown
    assert "1. throw_left from 11 to 13" in shown
    assert "--setting deadband --from" not in shown


def test_a_setting_at_its_end_has_no_step(club: Club) -> None:
    club.run("sheet", "A01", "--profile", "2", "--on", "2026-01-10", "turn_speed_max=0")
    shown = club.run("ask", "drifts", "A01", "--profile", "2")
    assert "turn_speed_max stands at 0, its end: there is no step down from there" in shown
    assert "nothing to change here" in shown


def test_of_several_settings_one_is_chosen_and_its_caution_says_what_it_raises(club: Club) -> None:
    several = club.run("ask", "cannot_reach_the_end", "A01")
    assert "One of these settings could be tried, not two" in several
    assert "--setting SETTING --from OLD --to NEW" in several
    assert "throw_forward down by 5: it is not on the sheet" in several
    one = club.run("ask", "cannot_reach_the_end", "A01", "--setting", "throw_left")
    assert "throw_left down by 5: 60 to 55" in one and "throw_forward" not in one
    assert "This step raises the speed or the turn rate that the same push commands" in one
    message = club.run("ask", "drifts", "A01", "--setting", "deadband", exit_code=2)
    assert 'drifts does not name "deadband". It names turn_speed_max.' in message


def test_a_club_edits_its_own_copy_and_a_slip_is_named(club: Club) -> None:
    written = club.run("ask", "--write")
    copy = club.path.with_suffix(".symptoms.toml")
    assert str(copy) in written
    assert "is there already and was left as it is" in club.run("ask", "--write", exit_code=2)
    text = copy.read_text(encoding="utf-8")
    own = text.replace('name = "drifts"', 'name = "pulls_left"').replace('["turn_speed_max"]', '["deceleration_max"]')
    copy.write_text(own, encoding="utf-8")
    club.run("sheet", "A01", "--profile", "1", "--on", "2026-01-11", "deceleration_max=50")
    shown = club.run("ask", "pulls_left", "A01")
    assert "deceleration_max down by 5: 50 to 45" in shown and LONGER_STOP in shown
    assert f"Read from {copy}" in shown
    copy.write_text(own.replace("step = 2", "step = two", 1), encoding="utf-8")
    line = own.splitlines().index("step = 2") + 1
    message = club.run("ask", exit_code=2)
    assert f'{copy}, line {line}, key "step": it cannot be read there' in message
    assert "pulls_left" not in message
    usual = club.path.parent / "usual.toml"
    club.run("ask", "--write", "--file", str(usual))
    assert usual.read_text(encoding="utf-8") == text
    assert "drifts" in club.run("ask", "--file", str(usual))


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("wobbles",), 'no symptom "wobbles". There are jerks_at_rest'),
        (("drifts", "B07"), 'no athlete "B07". It knows A01.'),
        (("drifts", "A01", "--profile", "two"), "it must be a whole number"),
        (("--file", "/nowhere/list.toml"), "cannot be read as text"),
    ],
)
def test_what_cannot_be_used_is_refused(club: Club, args: tuple[str, ...], said: str) -> None:
    assert said in club.run("ask", *args, exit_code=2)


@pytest.mark.parametrize("args", [("ask", "drifts", "A01"), ("speed", "A01"), ("limit",), ("matchday", "A01")])
def test_reading_loads_no_heavy_library(club: Club, args: tuple[str, ...]) -> None:
    code = (
        "import sys\nfrom typer.testing import CliRunner\nfrom rampbook.cli.app import app\n"
        f"done = CliRunner().invoke(app, [*{args!r}, '--store', {str(club.path)!r}])\n"
        "assert done.exit_code in (0, 1) and done.output, done.output\n"
        "heavy = {'polars', 'numpy', 'scipy', 'altair', 'pandas', 'jinja2', 'statsmodels'}\n"
        "print(sorted(heavy & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == "[]"
