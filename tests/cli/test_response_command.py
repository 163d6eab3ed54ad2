"""``rampbook response``: what a technician types, the files it writes, and what it refuses."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from rampbook.domain.motion import Ramp

from .conftest import Club

MORE = ("forward_speed_min=30", "acceleration_max=40", "deceleration_max=50", "throw_forward=70", "throw_right=60")
# The run of the sheet of 2026-01-10, at the dial's top.
RAMP = Ramp(speed=2.4, rise=1.2, fall=2.0)


@pytest.fixture
def ready(club: Club) -> Club:
    """The club with a fuller sheet, and two changes after it."""
    club.run("sheet", "A01", "--chair", "C1", "--profile", "1", "--on", "2026-01-10", *MORE)
    club.change("throw_left", "50", "--id", "T1")
    club.change("forward_speed_max", "60", "--id", "F1", on="2026-02-20")
    return club


def trace(folder: Path) -> Path:
    path = folder / "trace.csv"
    rows = [f"{i / 50:.2f},{RAMP.speed_at(i / 50 - 1, held=5):.4f}" for i in range(450)]
    path.write_text("time_s,speed_m_s\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_before_and_after_a_change_only_that_setting_differs(ready: Club, tmp_path: Path) -> None:
    out = tmp_path / "pictures"
    told = ready.run("response", "A01", "--profile", "1", "--change", "T1", "--out", str(out))
    # By hand: (0.60 - 0.10) / (0.50 - 0.10) = 1.25.
    assert "Left: the command is full at 50% of travel instead of 60%" in told and "1.25 times" in told
    for words in ("A plain model", "must be measured", "changes the gain near the centre", "spotter", "not a goal"):
        assert words in told, words
    assert "This raises how fast or how sharply the chair moves" in told
    names = {path.name for path in out.iterdir()}
    assert names == {f"response-A01-profile-1-T1.{end}" for end in ("html", "svg", "png")}
    assert (out / "response-A01-profile-1-T1.png").read_bytes().startswith(b"\x89PNG")
    assert "before: starts at 10%, full at" in (out / "response-A01-profile-1-T1.svg").read_text(encoding="utf-8")


def test_a_change_that_slows_is_not_told_as_one_that_raises(ready: Club, tmp_path: Path) -> None:
    told = ready.run("response", "A01", "--profile", "1", "--change", "F1", "--out", str(tmp_path))
    assert "Forward: full command is worth 60 instead of 80" in told
    assert "This raises" not in told and "Measure the speed again" in told


def test_two_days_are_compared_with_the_earlier_one_first(ready: Club) -> None:
    days = ("--on", "2026-01-15", "--against", "2026-03-01")
    found = ready.json("response", "A01", "--profile", "1", *days, "--dial", "50")
    assert [side["told"][-10:] for side in found["sides"]] == ["2026-01-15", "2026-03-01"]
    assert [row["setting"] for row in found["changed"]] == ["forward_speed_max", "throw_left"]
    # By hand: halfway from 30 to 80, and from 30 to 60.
    assert [side["curves"]["forward"]["full"] for side in found["sides"]] == [55.0, 45.0]
    assert found["files"] == []


def test_the_dial_is_the_one_last_practised_at(ready: Club) -> None:
    driven = ("--profile", "1", "--drill", "gate", "--seconds", "30")
    ready.run("practice", "A01", "--on", "2026-02-25", "--dial", "40", *driven)
    found = ready.json("response", "A01", "--profile", "1", "--on", "2026-03-01")
    assert found["sides"][0]["dial_percent"] == 40
    earlier = ready.json("response", "A01", "--profile", "1", "--on", "2026-02-21")
    assert earlier["sides"][0]["dial_percent"] == 100


def test_a_run_puts_the_model_in_metres_and_seconds(ready: Club, tmp_path: Path) -> None:
    ready.run("run", "A01", "--profile", "1", "--trace", str(trace(tmp_path)), "--on", "2026-01-12", "--dial", "100")
    found = ready.json("response", "A01", "--profile", "1", "--on", "2026-03-01", "--against", "2026-01-15")
    before, after = (side["motions"]["forward"] for side in found["sides"])
    assert before["unit"] == "m, s"
    assert before["stopping_distance"] == pytest.approx(RAMP.stopping_distance, abs=0.02)
    # By hand: 60 of 80 is three quarters of the speed, and nine sixteenths of the way to a stop.
    assert after["speed"] == pytest.approx(1.8, abs=0.01)
    assert after["stopping_distance"] == pytest.approx(RAMP.stopping_distance * 9 / 16, abs=0.02)
    assert found["run"]["top_speed_m_s"] == pytest.approx(2.4, abs=0.01)


def test_a_run_on_a_day_without_a_sheet_is_not_used_as_a_scale(ready: Club, tmp_path: Path) -> None:
    ready.run("run", "A01", "--profile", "1", "--trace", str(trace(tmp_path)), "--on", "2026-01-02", "--id", "R1")
    told = ready.run("response", "A01", "--profile", "1", "--run", "R1", "--out", str(tmp_path))
    assert "the sheet of that day does not say what was driven" in told


def test_the_chairs_record_says_what_a_throw_number_means(ready: Club, tmp_path: Path) -> None:
    (tmp_path / "chairs.csv").write_text(
        "chair,athlete,scale,throw_definition\nC1,A01,percent,at_full_travel\n", encoding="utf-8"
    )
    ready.run("load", str(tmp_path / "chairs.csv"))
    stored = ready.json("response", "A01", "--profile", "1", "--change", "T1")
    assert stored["throw_definition"] == "at_full_travel"
    assert stored["throw_definition_told"] == "as the chair's record says"
    # Of a number that says how much is commanded at the end, the smaller answers less.
    assert "answers less strongly" in stored["findings"][0]
    asked = ready.json("response", "A01", "--profile", "1", "--change", "T1", "--throw-means", "full_at")
    assert "answers more strongly" in asked["findings"][0] and "although" in asked["throw_definition_told"]


REFUSED = [
    (("--change", "T9"), 'There is no change "T9" of A01, profile 1'),
    (("--change", "T1", "--on", "2026-03-01"), "--change says both sheets by itself"),
    (("--on", "2025-01-01"), "Nothing is on the sheet of A01, profile 1, for 2025-01-01"),
    (("--run", "R9"), 'There is no run "R9" of A01, profile 1. Known: none'),
    (("--throw-means", "most"), '--throw-means is "most": it must be one of full_at, at_full_travel'),
    (("--dial", "140"), "The speed dial is 140%: it must be from 0 to 100"),
    (("--chair", "C9"), "Nothing is on the sheet"),
]


@pytest.mark.parametrize(("args", "message"), REFUSED)
def test_what_cannot_be_drawn_is_refused_and_nothing_is_written(
    ready: Club, tmp_path: Path, args: tuple[str, ...], message: str
) -> None:
    out = tmp_path / "none"
    assert message in ready.run("response", "A01", "--profile", "1", *args, "--out", str(out), exit_code=2)
    assert not out.exists()


def test_a_sheet_with_nothing_to_draw_says_what_to_log(club: Club) -> None:
    club.run("sheet", "A01", "--chair", "C1", "--profile", "4", "--on", "2026-01-10", "turn_speed_max=40")
    told = club.run("response", "A01", "--profile", "4", exit_code=2)
    assert "a curve needs the deadband and a throw" in told and "rampbook sheet A01 --profile 4" in told


def test_a_page_of_something_else_is_left_alone(ready: Club, tmp_path: Path) -> None:
    other = tmp_path / "response-A01-profile-1.html"
    other.write_text("mine", encoding="utf-8")
    told = ready.run("response", "A01", "--profile", "1", "--out", str(tmp_path), exit_code=2)
    assert "is no page of Rampbook's" in told and other.read_text(encoding="utf-8") == "mine"


def test_logging_a_distance_and_a_time_loads_nothing_heavy(ready: Club) -> None:
    script = (
        "import sys; from rampbook.cli.app import app\n"
        "try: app(sys.argv[1:])\n"
        "except SystemExit as end: assert not end.code\n"
        "heavy = {'polars', 'numpy', 'scipy', 'altair', 'pandas'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    args = ["run", "A01", "--profile", "1", "--distance", "10", "--seconds", "4", "--start", "flying"]
    for command in (args, ["response", "--help"]):
        done = subprocess.run(
            [sys.executable, "-c", script, *command], env={"RAMPBOOK_STORE": str(ready.path)}, capture_output=True,
            text=True, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
