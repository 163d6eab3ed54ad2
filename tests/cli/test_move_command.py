"""``rampbook move``: goals and measured behaviour carry over, no number of the old scale does, and what is missing is
asked for."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from rampbook.cli.app import app
from rampbook.domain.kinematics import trace_of
from rampbook.domain.matching import BEHAVIOURS, ORDER
from rampbook.store import open_store
from rampbook.store.runs import record_run
from rampbook.store.saved import record_rows

FIRST = date(2026, 1, 5)
# Numbers that nothing else on the page could be, so that one of the old scale cannot hide.
OLD = {"forward_speed_max": 73.25, "deceleration_max": 67.25, "acceleration_max": 81.25, "deadband": 13.25}
NEW = {"forward_speed_max": 5, "deceleration_max": 4, "acceleration_max": 3, "throw_left": 95, "deadband": 7}


def trace() -> list[dict[str, float | None]]:
    """2 s from rest to 2 m/s at 1 m/s², held for 3 s, and to rest within 1 s at 2 m/s²: it stops in 1 m."""
    def speed(time: float) -> float:
        return min(time, 2.0) if time <= 5 else max(2 - 2 * (time - 5), 0.0)

    return [{"time_s": i / 50, "speed_m_s": speed(i / 50), "distance_m": None} for i in range(330)]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A club whose athlete has driven chair C1, measured it, and got chair C2."""
    place = {"athlete": "K01", "profile": 2}
    with open_store(tmp_path / "club.duckdb") as store:
        tables: dict[str, list[dict[str, Any]]] = {
            "athletes": [{"athlete": "K01", "consent": "club", "consent_on": FIRST}],
            "chairs": [{"chair": "C1", "athlete": "K01", "scale": "S1", "goals": "stop where I mean to"},
                       {"chair": "C2", "athlete": "K01", "scale": "S2", "since": "2026-03-02"}],
            "settings": [place | {"chair": "C1", "setting": name, "value": value, "on": FIRST}
                         for name, value in OLD.items()],
            "practices": [{"practice": f"P{i}", "athlete": "K01", "on": FIRST + timedelta(days=5 * i)}
                          for i in range(10)],
            "attempts": [{"practice": "P8", "profile": 2, "drill": "full_turn_left", "seconds": s}
                         for s in (2.5, 3, 2)],
            "speed_passes": [place | {"chair": "C1", "direction": "forward", "on": "2026-02-10", "gate_m": 20,
                                      "seconds": s, "method": "stopwatch"} for s in (8.0, 9.0)],
        }  # fmt: skip
        tables["attempts"] += [
            {"practice": f"P{i}", "profile": 2, "drill": "gate", "seconds": 30 + i} for i in range(10)
        ]
        record_rows(store, tables)
        run = place | {"run": "R1", "chair": "C1", "direction": "forward", "on": "2026-02-09", "start": "standing",
                       "distance_m": 9, "seconds": 6, "method": "logger"}  # fmt: skip
        record_run(store, run, trace_of(trace()))
    return tmp_path / "club.duckdb"


def add_sheet(path: Path) -> None:
    with open_store(path) as store:
        record_rows(
            store,
            {
                "settings": [
                    {"athlete": "K01", "chair": "C2", "profile": 2, "setting": name, "value": value, "on": "2026-03-02"}
                    for name, value in NEW.items()
                ]
            },
        )


def run(path: Path, *words: str, exit_code: int = 1) -> str:
    answer = CliRunner(env={"RAMPBOOK_STORE": str(path)}).invoke(app, ["move", "K01", *words])
    assert answer.exit_code == exit_code, answer.output
    return answer.output


def plan(path: Path, *words: str) -> Any:
    return json.loads(run(path, "--json", *words))


def test_measured_behaviour_carries_over_in_metres_seconds_and_degrees(path: Path) -> None:
    found = {one["behaviour"]: one for one in plan(path)["old"]["measured"]}
    assert found["turn_rate_left"]["value"] == 360 / 2.5
    # The pass of 10 Feb is later than the run, and the faster of the two counts: 20 m in 8 s is 9 km/h.
    assert found["speed_forward"]["value"] == pytest.approx(9.0) and found["speed_forward"]["on"] == "2026-02-10"
    # Closed forms (v**2 / 2b = 1 m; 0.9 v / a = 1.8 s) within what sampling and smoothing leave.
    assert found["stopping_distance"]["value"] == pytest.approx(1.0, abs=0.08)
    assert found["time_to_speed"]["value"] == pytest.approx(1.8, abs=0.15)
    assert found["stopping_distance"]["how"] == "logger, from 7.2 km/h"


def test_what_was_never_measured_is_asked_for_before_the_old_chair_goes(path: Path) -> None:
    assert plan(path)["old"]["missing"] == ["turn_rate_right", "speed_reverse"]
    told = run(path)
    assert "Measure on the old chair before it goes: turn rate to the right, speed backward." in told
    assert "- turn rate to the right: the time of one full turn on the spot" in told
    assert "rampbook practice K01 --profile N --drill full_turn_left (or full_turn_right)" in told
    assert "- speed backward: three passes" in told and "rampbook speed K01 --profile N" in told


def test_a_chair_that_is_gone_is_not_to_be_measured(path: Path) -> None:
    with open_store(path) as store:
        record_rows(store, {"chairs": [{"chair": "C1", "athlete": "K01", "scale": "S1", "until": "2026-03-01",
                                        "goals": "stop where I mean to", "supersedes": "C1"}]})  # fmt: skip
    add_sheet(path)
    told = run(path, exit_code=0)
    assert "before it goes" not in told and "Never measured there; the athlete's own words must do:" in told


def test_no_number_of_the_old_scale_is_anywhere(path: Path, tmp_path: Path) -> None:
    add_sheet(path)
    page = tmp_path / "move.html"
    told = run(path, "--out", str(page)) + run(path, "--json") + page.read_text(encoding="utf-8")
    assert [value for value in OLD.values() if f"{value:g}" in told] == []
    for value in (5, 4, 3, 95, 7):
        assert re.search(rf"(maximum|left|deadband) {value}\b", told), value


def test_stopping_and_comfort_come_before_speed_one_setting_at_a_time(path: Path) -> None:
    add_sheet(path)
    steps = plan(path)["steps"]
    assert [step["start_values"][0]["setting"] for step in steps] == [
        "deceleration_max", "deadband", "throw_left", "acceleration_max", "forward_speed_max",
    ]  # fmt: skip
    assert all(step["measure"] and step["stop_when"] for step in steps)
    assert [step["quickens"] for step in steps] == [False, False, False, True, True]
    names = [approach.id for approach in ORDER]
    assert names.index("stopping") < names.index("reach") < names.index("turning") < names.index("forward")
    assert names[-1] == "forward"


def test_without_a_sheet_the_start_values_are_asked_for_and_the_order_is_whole(path: Path) -> None:
    found = plan(path)
    assert len(found["steps"]) == len(ORDER) and all(step["start_values"] == [] for step in found["steps"])
    assert any("Log the start values of chair C2: rampbook sheet K01 --chair C2" in line for line in found["to_do"])


def test_steps_whose_settings_are_not_on_the_new_sheet_are_named_as_left_out(path: Path) -> None:
    with open_store(path) as store:
        record_rows(store, {"settings": [{"athlete": "K01", "chair": "C2", "profile": 2, "setting": "deadband",
                                          "value": 4, "on": "2026-03-02"}]})  # fmt: skip
    assert any("deceleration not on the sheet of chair C2" in line for line in plan(path)["left_out"])
    assert "Not among the steps:" in run(path)


def test_a_change_since_the_measurement_asks_for_another(path: Path) -> None:
    with open_store(path) as store:
        record_rows(store, {"changes": [{"athlete": "K01", "chair": "C1", "profile": 2, "setting": "deadband",
                                         "new_value": 15, "on": "2026-02-12"}]})  # fmt: skip
    told = run(path)
    assert "Measure again on the old chair, since a setting was changed later: stopping distance" in told
    stale = {one["behaviour"]: one["changed_since"] for one in plan(path)["old"]["measured"]}
    assert stale == {"stopping_distance": True, "time_to_speed": True, "turn_rate_left": False, "speed_forward": True}


def test_measurements_of_the_new_chair_stand_beside_the_old(path: Path) -> None:
    with open_store(path) as store:
        record_rows(store, {"speed_passes": [{"athlete": "K01", "chair": "C2", "profile": 2, "direction": "forward",
                                              "on": "2026-03-09", "gate_m": 20, "seconds": 10,
                                              "method": "gates"}]})  # fmt: skip
    last = plan(path)["steps"][-1]
    assert [one["value"] for one in last["old_chair"] + last["new_chair"]] == pytest.approx([9.0, 7.2])


def test_cautions_goals_and_the_new_baseline_are_always_there(path: Path, tmp_path: Path) -> None:
    page = tmp_path / "move.html"
    always = ("stop where I mean to", "starts a new baseline", "One change at a time", "spotter", "10 km/h",
              "instructions and the licensed practice", "go back to the start value", "common practice")  # fmt: skip
    for told in (run(path, "--out", str(page)), page.read_text(encoding="utf-8")):
        assert [words for words in always if words not in told] == []
        assert "faster" not in told


def test_before_a_new_chair_is_on_record_the_plan_says_to_log_it(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        record_rows(store, {"athletes": [{"athlete": "K01", "consent": "club"}],
                            "chairs": [{"chair": "C1", "athlete": "K01", "since": FIRST}]})  # fmt: skip
    told = run(tmp_path / "club.duckdb")
    assert "K01 moves from chair C1 to a new chair" in told and "Log the new chair: rampbook chair K01 CODE" in told
    assert len(plan(tmp_path / "club.duckdb")["old"]["missing"]) == len(BEHAVIOURS)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--to", "C9"), '--to is "C9": no such chair of K01'),
        (("--from", "C9"), '--from is "C9"'),
        (("--from", "C2", "--to", "C2"), "none to move from"),
        (("--profile", "two"), "--profile"),
    ],
)
def test_what_cannot_be_planned_is_refused(path: Path, words: tuple[str, ...], said: str) -> None:
    assert said in run(path, *words, exit_code=2)


def test_a_page_of_somebody_else_is_not_written_over(path: Path, tmp_path: Path) -> None:
    page = tmp_path / "mine.html"
    page.write_text("mine", encoding="utf-8")
    assert "is no page of Rampbook's" in run(path, "--out", str(page), exit_code=2)
    assert page.read_text(encoding="utf-8") == "mine"
