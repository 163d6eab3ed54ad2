"""``rampbook settings --can``: what each step does at the dial practised at, and the way back."""

from __future__ import annotations

import pytest

from rampbook.domain.cautions import RAISED

from .conftest import Club


def can(club: Club, *wishes: str) -> str:
    return club.run("settings", "A01", *(part for wish in wishes for part in ("--can", wish)))


def practised(club: Club, *dials: int, profile: str | None = "1", first: int = 20) -> None:
    """Log one practice a day from a day of January on, with the dial where it stood."""
    for day, dial in enumerate(dials, start=first):
        with_profile = () if profile is None else ("--profile", profile)
        club.run(
            "practice", "A01", *with_profile, "--on", f"2026-01-{day}", "--drill", "gate", "--seconds", "30",
            "--dial", str(dial),
        )  # fmt: skip


def test_each_step_says_whether_it_changes_the_chair(club: Club) -> None:
    practised(club, 100, 100)
    shown = can(club, "forward_speed_max=15")
    assert "1. reverse_speed_min from 20 to 15: only housekeeping: reverse speed stays 60 at dial 100%; " in shown
    assert "with the dial elsewhere the chair may change" in shown
    assert "2. reverse_speed_max from 60 to 15: changes the chair: reverse speed 60 → 15 (-45) at dial 100%" in shown
    assert "3. forward_speed_max from 80 to 15: changes the chair: forward speed 80 → 15 (-65) at dial 100%" in shown
    assert "Dial: 100%, the middle of the last 2 practices with profile 1 (2026-01-20 to 2026-01-21: " in shown
    assert "a plain model, not your controller. Measure the chair." in shown


def test_programs_get_the_same_beside_the_keys_of_the_contract(club: Club) -> None:
    practised(club, 50)
    answer = club.json("settings", "A01", "--can", "forward_speed_max=15")
    assert answer["steps"] == [{"setting": s["setting"], "value": s["value"]} for s in answer["each_step"]]
    assert answer["dial"]["percent"] == 50
    assert len(answer["dial"]["practices"]) == 1
    first = answer["each_step"][0]
    assert (first["setting"], first["old_value"], first["changes_the_chair"], first["housekeeping"]) == (
        "reverse_speed_min", 20.0, True, False,
    )  # fmt: skip
    assert first["at"] == [{"dial_percent": 50.0, "before": 40.0, "after": 37.5, "change": -2.5}]
    assert answer["steps_back"] == [
        {"setting": "forward_speed_max", "value": 80.0},
        {"setting": "reverse_speed_max", "value": 60.0},
        {"setting": "reverse_speed_min", "value": 20.0},
    ]


def test_an_unknown_dial_is_said_and_both_ends_are_given(club: Club) -> None:
    shown = can(club, "reverse_speed_max=40")
    assert "What it does: depends on the dial, which is not known: " in shown
    assert ": reverse speed stays 20 at dial 0%; 60 → 40 (-20) at dial 100%" in shown
    assert "Dial: not known, no practice says where it stood" in shown
    assert club.json("settings", "A01", "--can", "reverse_speed_max=40")["dial"] is None


def test_a_dial_of_another_profile_does_not_count(club: Club) -> None:
    practised(club, 30, profile="2")
    assert club.json("settings", "A01", "--can", "reverse_speed_max=40")["dial"] is None
    practised(club, 70, 70, profile=None, first=25)
    found = club.json("settings", "A01", "--can", "reverse_speed_max=40")["dial"]
    assert (found["percent"], found["profile_named"]) == (70, False)
    assert "that name no profile" in can(club, "reverse_speed_max=40")


def test_a_dial_after_the_day_asked_about_does_not_count(club: Club) -> None:
    practised(club, 30, 70)
    asked = ("settings", "A01", "--can", "reverse_speed_max=40")
    assert club.json(*asked, "--on", "2026-01-20")["dial"]["percent"] == 30
    assert club.json(*asked, "--on", "2026-01-21")["dial"]["high"] == 70


@pytest.mark.parametrize(
    ("wish", "is_raised"),
    [("reverse_speed_max=70", True), ("reverse_speed_max=50", False), ("acceleration_max=70", True),
     ("acceleration_max=30", False), ("deadband=12", False)],
)  # fmt: skip
def test_a_step_that_raises_speed_or_acceleration_carries_a_caution(club: Club, wish: str, is_raised: bool) -> None:
    club.run("sheet", "A01", "--profile", "1", "--on", "2026-01-11", "acceleration_max=50")
    shown = can(club, wish)
    assert (RAISED in shown) == is_raised
    assert club.json("settings", "A01", "--can", wish)["each_step"][0]["raises"] == is_raised


def test_several_wishes_get_one_order_and_are_told_one_at_a_time(club: Club) -> None:
    shown = can(club, "forward_speed_max=15", "deadband=65")
    assert "One change at a time is the rule: take the first, practise with it" in shown
    assert "reverse_speed_max can't be above forward_speed_max" in shown
    answer = club.json("settings", "A01", "--can", "forward_speed_max=15", "--can", "deadband=65")
    assert answer["allowed"] is False
    assert {b["setting"] for b in answer["blocked_by"]} == {"reverse_speed_max", "throw_left"}
    for step in answer["steps"]:
        club.change(step["setting"], str(step["value"]))
    again = club.json("settings", "A01", "--can", "forward_speed_max=15", "--can", "deadband=65")
    assert (again["allowed"], again["steps"], again["blocked_by"]) == (True, [], [])
    assert "All of them stand already" in can(club, "forward_speed_max=15", "deadband=65")


def test_wishes_that_free_each_other_only_need_an_order(club: Club) -> None:
    answer = club.json("settings", "A01", "--can", "forward_speed_max=50", "--can", "reverse_speed_max=40")
    assert answer["allowed"] is True
    assert [s["setting"] for s in answer["steps"]] in (
        ["forward_speed_max", "reverse_speed_max"], ["reverse_speed_max", "forward_speed_max"],
    )  # fmt: skip
    answer = club.json("settings", "A01", "--can", "forward_speed_max=50", "--can", "reverse_speed_max=45")
    assert [s["setting"] for s in answer["steps"]] == ["reverse_speed_max", "forward_speed_max"]


def test_wishes_that_cannot_stand_together_say_so(club: Club) -> None:
    answer = club.json("settings", "A01", "--can", "forward_speed_max=30", "--can", "reverse_speed_min=40")
    assert (answer["allowed"], answer["steps"]) == (False, [])
    assert answer["impossible"] == "reverse_speed_min at 40 and forward_speed_max at 30 cannot stand together"
    assert "No order of steps gets there" in can(club, "forward_speed_max=30", "reverse_speed_min=40")


def test_the_same_wish_twice_is_refused(club: Club) -> None:
    said = club.run("settings", "A01", "--can", "deadband=5", "--can", "deadband=6", exit_code=2)
    assert "--can gives deadband twice, 5 and 6: give it once." in said


def test_a_wish_that_stands_already_has_nothing_to_change(club: Club) -> None:
    assert "deadband is 10 already: there is nothing to change." in can(club, "deadband=10")
    assert club.json("settings", "A01", "--can", "deadband=10")["each_step"] == []


def test_what_was_not_on_the_sheet_cannot_go_back(club: Club) -> None:
    answer = club.json("settings", "A01", "--can", "turn_speed_max=40")
    assert answer["steps_back"] == []
    assert answer["cannot_go_back"] == [{"setting": "turn_speed_max", "reason": "its old value is not on the sheet"}]
    assert "read it from the chair and write it down first" in can(club, "turn_speed_max=40")


def test_logging_a_change_says_what_it_does(club: Club) -> None:
    practised(club, 50, 50)
    shown = club.change("reverse_speed_max", "40", "--planned")
    assert "What it does: changes the chair: reverse speed 40 → 30 (-10) at dial 50%" in shown
