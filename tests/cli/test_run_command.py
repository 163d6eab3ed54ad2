"""``rampbook run``: what a technician types, what it answers, and what it refuses."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import pytest

from rampbook.domain.kinematics import measure_trace
from rampbook.domain.motion import Ramp
from rampbook.store.runs import read_trace

from .conftest import Club

# 1 m/s2 to 2 m/s, held until 5 s, and 2 m/s2 back to rest: stops in 1 m and 1 s.
RAMP = Ramp(speed=2.0, rise=1.0, fall=2.0)


@pytest.fixture
def trace(tmp_path: Path) -> Path:
    path = tmp_path / "trace.csv"
    rows = [f"{i / 50:.2f},{RAMP.speed_at(i / 50 - 1, held=5):.4f}" for i in range(450)]
    path.write_text("time_s,speed_m_s\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_a_trace_gives_top_speed_time_to_speed_and_stopping_distance(club: Club, trace: Path) -> None:
    told = club.run("run", "A01", "--profile", "1", "--trace", str(trace), "--on", "2026-02-01", "--dial", "100")
    for words in (
        "Top speed: 2.00 m/s (7.20 km/h)",
        "Time to 90% of it from rest: 1.80 s",
        "Stopping: 1.00 m in 1.00 s (deceleration 2.00 m/s²)",
        "this is no test to a standard",
        "spotter",
        "rampbook response A01 --profile 1",
    ):
        assert words in told, words
    assert [(row["chair"], row["start"], row["dial_percent"]) for row in club.rows("runs")] == [("C1", "standing", 100)]
    assert len(club.rows("run_samples")) == 450


def test_the_json_holds_the_numbers_unrounded(club: Club, trace: Path) -> None:
    found = club.json("run", "A01", "--profile", "1", "--trace", str(trace), "--on", "2026-02-01")
    assert found["loaded"] == {"runs": 1}
    assert found["measured"]["stopping_distance_m"] == pytest.approx(RAMP.stopping_distance, abs=0.005)
    measured = asdict(measure_trace(read_trace(trace)))
    assert {name: value for name, value in found["measured"].items() if name != "notes"} == {
        name: value for name, value in measured.items() if name != "notes"
    }
    assert "dial" in found["notes"][0] and found["cautions"]


def test_the_same_run_again_adds_nothing(club: Club, trace: Path) -> None:
    for _ in range(2):
        told = club.run("run", "A01", "--profile", "1", "--trace", str(trace), "--on", "2026-02-01")
    assert "Nothing was added" in told and len(club.rows("run_samples")) == 450


def test_a_distance_and_a_time_do_too(club: Club) -> None:
    told = club.run(
        *("run", "A01", "--profile", "1", "--distance", "10", "--seconds", "4,0", "--start", "flying"),
        *("--direction", "reverse"),
    )
    assert "Top speed: 2.50 m/s (9.00 km/h)" in told and "need a speed trace" in told
    assert club.rows("runs")[0]["direction"] == "reverse"


def test_a_day_without_a_sheet_is_told(club: Club) -> None:
    told = club.run(
        "run", "A01", "--profile", "3", "--distance", "10", "--seconds", "4", "--start", "flying", "--on", "2026-02-01"
    )
    assert "no sheet of profile 3 is known for 2026-02-01" in told


REFUSED = [
    ((), "Give --trace FILE, or --distance and --seconds"),
    (("--distance", "10"), "need --distance, --seconds and --start"),
    (("--distance", "10", "--seconds", "4", "--start", "rolling"), '--start is "rolling": it must be one of'),
    (("--distance", "10", "--seconds", "1", "--start", "flying"), "no powerchair in play drives that"),
    (("--distance", "10", "--seconds", "4", "--start", "flying", "--direction", "left"), '--direction is "left"'),
    (("--trace", "missing.csv"), "could not be read"),
]  # fmt: skip


@pytest.mark.parametrize(("args", "message"), REFUSED)
def test_what_is_refused_is_not_saved(club: Club, args: tuple[str, ...], message: str) -> None:
    assert message in club.run("run", "A01", "--profile", "1", *args, exit_code=2)
    assert club.rows("runs") == []


def test_a_trace_that_cannot_be_a_run_names_its_file(club: Club, trace: Path) -> None:
    trace.write_text("time_s,speed_m_s\n" + "".join(f"{i / 10},1\n" for i in range(5)), encoding="utf-8")
    told = club.run("run", "A01", "--profile", "1", "--trace", str(trace), exit_code=2)
    assert told.startswith("trace.csv: The trace has 5 samples: it needs at least 10. Nothing was saved.")
