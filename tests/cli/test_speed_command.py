"""``rampbook speed`` and ``rampbook limit``."""

from __future__ import annotations

import pytest

from rampbook.domain.cautions import ALWAYS
from rampbook.store import open_store
from rampbook.store.load import load_paths

from .conftest import Club

HOW = ("--direction", "forward", "--method", "stopwatch", "--timer", "T1", "--profile", "1", "--dial", "100")


def log(club: Club, seconds: str, *more: str, on: str = "2026-02-01", exit_code: int = 0) -> str:
    """Log one pass of the published gate."""
    gate = ("--gate", "19.5", "--seconds", seconds)
    return club.run("speed", "A01", *gate, *HOW, "--on", on, *more, exit_code=exit_code)


def test_the_published_gate_passes_and_ten_point_three_two_does_not(club: Club) -> None:
    assert "10.029  +0.00 (-0.20 to +0.19)  passes as read; cannot tell within the timing error" in log(club, "7,00")
    shown = log(club, "6.80", on="2026-02-02", exit_code=1)
    assert "10.324  -0.29 (-0.51 to -0.09)  does not pass" in shown
    found = club.json("speed", "A01", exit_code=1)["passes"]
    assert [(row["result"], row["tells"]) for row in found] == [
        ("passes", "cannot tell within the timing error"),
        ("does not pass", "clear"),
    ]
    assert found[0]["kmh"] == 19.5 / 7 * 3.6
    assert {"gate_m", "seconds", "direction", "method", "timer", "profile", "dial_percent", "on"} <= found[0].keys()


def test_above_the_limit_the_answer_is_one_step_down_never_up(club: Club) -> None:
    shown = log(club, "6.80", exit_code=1)
    assert "Slow down: profile 1 does not pass forward on 2026-02-01." in shown
    assert "Lower forward_speed_max by one step, 80 to 79, and log it: rampbook change A01 --profile 1" in shown
    assert "dial at its top" not in shown
    [slower] = club.json("speed", "A01", exit_code=1)["slow_down"]
    assert (slower["setting"], slower["from"], slower["to"]) == ("forward_speed_max", 80.0, 79.0)
    for word in ("faster", "raise", "speed up"):
        assert word not in shown
    for line in ALWAYS:
        assert line in shown


def test_a_step_down_that_is_blocked_gets_the_order_of_steps(club: Club) -> None:
    club.run("sheet", "A01", "--profile", "1", "--on", "2026-01-12", "reverse_speed_max=80", exit_code=1)
    shown = log(club, "6.80", exit_code=1)
    assert "other settings must move first: reverse_speed_max can't be above forward_speed_max" in shown
    assert shown.index("1. reverse_speed_max from 80 to 79") < shown.index("2. forward_speed_max from 80 to 79")


def test_a_setting_that_is_not_on_the_sheet_is_asked_for(club: Club) -> None:
    shown = log(club, "6.80", "--profile", "3", exit_code=1)
    assert "forward_speed_max is not on the sheet: read it from the chair and log it: rampbook sheet A01" in shown


def test_forward_and_reverse_are_kept_apart_and_only_rollers_measure_reverse(club: Club) -> None:
    log(club, "7.2")
    shown = club.run("speed", "A01")
    assert "In a match test only rollers can measure backward" in shown.split("Backward:")[1]
    how = ("--direction", "reverse", "--profile", "1", "--on", "2026-02-01", "--dial", "100")
    own = club.run("speed", "A01", "--gate", "10", "--seconds", "4.0", "--method", "gates", *how)
    # Not forbidden: logged, judged, and said to be the club's own check.
    assert "9.000" in own and "the club's own check, no more" in own.split("Backward:")[1]
    rolled = club.run("speed", "A01", "--kmh", "9.5", "--method", "rollers", *how, "--at", "18:30")
    assert "9.5 km/h read off on rollers" in rolled
    latest = {card["direction"]: card["measured"]["kmh"] for card in club.json("speed", "A01")["latest"]}
    assert latest == {"forward": pytest.approx(9.75), "reverse": pytest.approx(9.5)}


def test_two_hands_may_stop_at_the_same_time_and_the_same_call_twice_adds_nothing(club: Club) -> None:
    log(club, "7.2", "--seconds", "7.2")
    assert len(club.rows("speed_passes")) == 2
    assert "Nothing was added" in log(club, "7.2", "--seconds", "7.2")
    assert len(club.rows("speed_passes")) == 2


def test_the_fastest_pass_of_the_latest_day_counts_unless_a_change_was_answered(club: Club) -> None:
    log(club, "7.4", "--seconds", "7.2")
    assert club.json("speed", "A01")["latest"][0]["measured"]["seconds"] == 7.2
    log(club, "6.8", "--at", "18:00", on="2026-02-05", exit_code=1)
    with open_store(club.path) as store:
        store.connection.execute(
            'insert into changes (change, athlete, chair, profile, setting, old_value, new_value, "on", "time") values '
            "('CH1', 'A01', 'C1', 1, 'forward_speed_max', 80, 79, '2026-02-05', '18:10')"
        )
    log(club, "7.1", "--at", "18:20", on="2026-02-05")
    [latest] = club.json("speed", "A01")["latest"]
    assert (latest["measured"]["seconds"], latest["state"], latest["passes_that_day"]) == (7.1, "passes", 1)


def test_a_slip_in_the_year_does_not_hide_a_pass_that_is_too_fast(club: Club) -> None:
    log(club, "6.80", exit_code=1)
    shown = log(club, "7.60", on="2099-02-01", exit_code=1)
    assert "2099-02-01" in shown and "in the future" in shown
    assert "Profile 1, latest 2026-02-01: does not pass." in shown
    assert "Slow down: profile 1 does not pass forward on 2026-02-01." in shown


def test_a_dial_below_its_top_or_not_noted_is_told(club: Club) -> None:
    assert "Measured with the dial at 60%" in log(club, "8", "--dial", "60")
    plain = ("--direction", "forward", "--method", "gates", "--profile", "1", "--on", "2026-02-09")
    assert "was not noted" in club.run("speed", "A01", "--gate", "19.5", "--seconds", "8", *plain)


def test_the_limit_is_the_clubs_own_where_one_is_stated(club: Club) -> None:
    assert "Forward: 10 km/h, by its published gate 19.5 m in 7 s (10.029 km/h)" in club.run("limit")
    club.run("limit", "8", "--direction", "reverse", "--on", "2026-01-01")
    club.run("limit", "9", "--direction", "reverse", "--on", "2026-01-01")
    assert len(club.rows("speed_limits")) == 2
    assert "Backward: 9 km/h" in club.run("limit")
    club.run("limit", "15", "--gate", "20", "--gate-seconds", "4.8", "--on", "2026-01-02")
    assert club.json("limit")["limits"]["forward"] == {
        "limit_kmh": 15.0, "gate_m": 20.0, "gate_s": 4.8, "gate_kmh": pytest.approx(15),
    }  # fmt: skip
    assert "passes" in log(club, "6.80")
    # Back to the usual one: the published figure brings its published gate.
    club.run("limit", "10", "--on", "2026-01-03")
    assert club.json("limit")["limits"]["reverse"]["gate_s"] == 7.0


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--seconds", "7"), "--seconds needs --gate"),
        (("--gate", "19.5"), "To log a pass, give --seconds with --gate, or --kmh"),
        (("--gate", "19.5", "--seconds", "7"), "--direction is missing: it must be one of forward, reverse"),
        (("--gate", "19.5", "--seconds", "7", "--direction", "up"), '--direction is "up": it must be one of'),
        (("--gate", "19.5", "--seconds", "7", "--direction", "forward"), "--method is missing"),
        (("--gate", "19.5", "--seconds", "7", *HOW[:6]), "--profile is missing"),
        (("--kmh", "9", *HOW), "a stopwatch shows none"),
        (("--gate", "19.5", "--seconds", "0", *HOW), 'seconds is "0.0": it must be a number above 0'),
        (("--gate", "19.5", "--seconds", "7", *HOW, "--at", "7pm"), '--at is "7pm": write a time of day'),
        (("--gate", "19.5", "--seconds", "7", *HOW, "--dial", "120"), "dial_percent"),
    ],
)
def test_a_pass_that_cannot_be_used_is_refused(club: Club, args: tuple[str, ...], said: str) -> None:
    assert said in club.run("speed", "A01", *args, exit_code=2)
    assert club.rows("speed_passes") == []


def test_a_limit_above_that_of_the_sport_is_said_to_be_so(club: Club) -> None:
    above = "above the sport's published limit of 10 km/h"
    assert above in club.run("limit", "12")
    assert above not in club.run("limit", "10")


def test_a_limit_that_cannot_be_is_refused(club: Club) -> None:
    assert "is 11.70 km/h, not 10" in club.run("limit", "10", "--gate", "19.5", "--gate-seconds", "6", exit_code=2)
    assert "give its km/h first" in club.run("limit", "--gate", "19.5", exit_code=2)
    assert club.rows("speed_limits") == []


def test_passes_limits_and_match_profiles_are_loaded_from_files(club: Club) -> None:
    files = {
        "speed_passes.csv": (
            "athlete,chair,profile,direction,on,gate_m,seconds,speed_kmh,method,timer,dial_percent\n"
            "A01,C1,1,forward,2026-02-01,19.5,7.1,,stopwatch,T1,100\n"
            "A01,C1,1,reverse,2026-02-01,,,9.5,rollers,,100\n"
            "A01,C1,1,forward,2026-02-02,19.5,,,stopwatch,T1,100\n"
            "A01,C1,1,forward,2026-02-03,19.5,7.1,9.8,stopwatch,T1,100\n"
            "A01,C1,1,sideways,2026-02-03,19.5,7.1,,stopwatch,T1,100\n"
        ),
        "speed_limits.csv": (
            "direction,limit_kmh,gate_m,gate_s,on\nreverse,10,19.5,6,2026-01-01\nforward,9,,,2026-01-01\n"
        ),
        "match_profiles.csv": "athlete,chair,profile,on\nA01,C1,1,2026-01-01\n",
    }
    folder = club.path.parent / "files"
    folder.mkdir()
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    with open_store(club.path) as store:
        report = load_paths(store, [folder])
        again = load_paths(store, [folder])
    assert report.loaded == {"speed_passes": 2, "speed_limits": 1, "match_profiles": 1}
    assert sum(again.loaded.values()) == 0 and sum(again.already_there.values()) == 4
    reasons = {(row.file, row.row): row.reason for row in report.set_aside}
    assert "a gate needs both its length in gate_m and its time in seconds" in reasons["speed_passes.csv", 4]
    assert "either a gate (gate_m and seconds) or a speed" in reasons["speed_passes.csv", 5]
    assert 'direction is "sideways"' in reasons["speed_passes.csv", 6]
    assert "the gate does not say the same as the limit" in reasons["speed_limits.csv", 2]
