"""``rampbook matchday``."""

from __future__ import annotations

from pathlib import Path

import pytest

from rampbook.domain.cautions import ALWAYS

from .conftest import Club

PASS = ("--gate", "19.5", "--method", "gates", "--timer", "G1", "--dial", "100", "--seconds")
TODAY = ("--on", "2026-03-01")


def measure(club: Club, direction: str = "forward", *, profile: str = "1", on: str = "2026-02-01") -> None:
    """Log one pass that is well below the limit."""
    club.run("speed", "A01", *PASS, "7.3", "--direction", direction, "--profile", profile, "--on", on)


def state(club: Club, *, exit_code: int) -> dict[str, str]:
    """Return the state of each direction."""
    [one] = club.json("matchday", "A01", *TODAY, exit_code=exit_code)["athletes"]
    return {card["direction"]: card["state"] for card in one["speed"]}


def test_measured_and_nothing_since_is_fine(club: Club) -> None:
    measure(club)
    shown = club.run("matchday", "A01", *TODAY)
    assert "Should be active: profile 1, taken from the latest pass (2026-02-01)" in shown
    assert "Nothing is stale, and no alert stands." in shown
    assert "[ ] Lap belt closed" in shown and "Checked by (code)" in shown
    for line in ALWAYS:
        assert line in shown


@pytest.mark.parametrize(
    ("setting", "to", "forward", "reverse"),
    [
        ("forward_speed_max", "79", "stale", "passes"),
        ("reverse_speed_max", "59", "passes", "stale"),
        ("deadband", "9", "stale", "stale"),
        ("throw_left", "59", "passes", "passes"),
    ],
)
def test_a_change_makes_the_directions_stale_that_it_can_move(
    club: Club, setting: str, to: str, forward: str, reverse: str
) -> None:
    measure(club)
    measure(club, "reverse")
    club.change(setting, to)
    assert state(club, exit_code=int("stale" in (forward, reverse))) == {"forward": forward, "reverse": reverse}


@pytest.mark.parametrize(("event", "expected"), [("tyres", "stale"), ("new_joystick", "stale"), ("illness", "passes")])
def test_an_event_makes_both_directions_stale_or_none(club: Club, event: str, expected: str) -> None:
    measure(club)
    measure(club, "reverse")
    club.run("event", "A01", "--event", event, "--on", "2026-02-10")
    assert state(club, exit_code=int(expected == "stale")) == {"forward": expected, "reverse": expected}


def test_a_new_measurement_ends_it_and_a_change_of_another_profile_does_not_count(club: Club) -> None:
    measure(club)
    club.run("event", "A01", "--event", "battery", "--on", "2026-02-10")
    assert state(club, exit_code=1)["forward"] == "stale"
    measure(club, on="2026-02-11")
    assert state(club, exit_code=0)["forward"] == "passes"
    club.run("sheet", "A01", "--profile", "2", "--on", "2026-02-12", "forward_speed_max=50")
    club.run("sheet", "A01", "--profile", "2", "--on", "2026-02-13", "forward_speed_max=60", exit_code=1)
    assert state(club, exit_code=0)["forward"] == "passes"


def test_a_value_read_otherwise_without_a_change_and_another_chair_make_it_stale(club: Club) -> None:
    measure(club)
    club.run("sheet", "A01", "--profile", "1", "--on", "2026-02-12", "forward_speed_max=79", exit_code=1)
    [one] = club.json("matchday", "A01", *TODAY, exit_code=1)["athletes"]
    assert one["speed"][0]["since"] == [
        {
            "on": "2026-02-12",
            "what": "forward_speed_max 80 to 79",
            "why": "read from the chair, no change was logged",
        }
    ]
    measure(club, on="2026-02-14")
    club.run("sheet", "A01", "--chair", "C2", "--profile", "1", "--on", "2026-02-20", "forward_speed_max=40")
    shown = club.run("matchday", "A01", *TODAY, exit_code=1)
    assert "stale since chair C2 was put on the sheet on 2026-02-20" in shown


def test_the_record_is_read_as_it_stood_on_the_day(club: Club) -> None:
    measure(club)
    club.change("forward_speed_max", "79", on="2026-02-10")
    assert "Nothing is stale" in club.run("matchday", "A01", "--on", "2026-02-09")
    assert "forward_speed_max 80 to 79 on 2026-02-10" in club.run("matchday", "A01", "--on", "2026-02-10", exit_code=1)


def test_the_stated_profile_comes_first_and_another_measured_one_is_warned_of(club: Club) -> None:
    measure(club, profile="1")
    shown = club.run("matchday", "A01", "--match-profile", "2", *TODAY, exit_code=1)
    assert "Should be active: profile 2, as the club stated for matches since 2026-03-01." in shown
    assert "Also measured: profile 1. A measurement of one profile says nothing of another." in shown
    assert "Forward, profile 2: never measured. Measure it before the match." in shown
    # Said again for the same day: corrected, both stay on record, and the last one holds, also when it goes back.
    for profile in ("1", "2", "1"):
        club.json("matchday", "A01", "--match-profile", profile, *TODAY, exit_code=int(profile == "2"))
    assert club.json("matchday", "A01", *TODAY)["athletes"][0]["profile"] == 1
    # A statement holds from its day on.
    assert club.json("matchday", "A01", "--on", "2026-02-20")["athletes"][0]["profile_from"] == "latest pass"


def test_without_any_pass_no_profile_is_made_up(club: Club) -> None:
    shown = club.run("matchday", "A01", *TODAY, exit_code=1)
    assert "Should be active: not known." in shown
    assert "State it: rampbook matchday A01 --match-profile NUMBER" in shown


def test_above_the_limit_says_not_to_play_like_this(club: Club) -> None:
    where = ("--direction", "forward", "--profile", "1", "--on", "2026-02-01")
    club.run("speed", "A01", *PASS, "6.8", *where, exit_code=1)
    shown = club.run("matchday", "A01", *TODAY, exit_code=1)
    assert "Forward, profile 1: does not pass. Slow the chair down: rampbook speed A01" in shown
    assert "above the limit: do not play like this" in shown


def test_an_open_alert_for_harm_stands_on_the_list(club: Club) -> None:
    measure(club, on="2026-02-28")
    for day in range(1, 9):
        club.run("practice", "A01", "--profile", "1", "--count", "tips=0", "--on", f"2026-02-0{day}")
    club.change("throw_left", "50", on="2026-02-10")
    club.run("practice", "A01", "--profile", "1", "--count", "tips=1", "--on", "2026-02-12", exit_code=1)
    shown = club.run("matchday", "A01", *TODAY, exit_code=1)
    assert "Before the match, see to this:\n  - Harm first: tips was logged on 2026-02-12" in shown
    assert "Open alerts, the way back:" in shown and "Go back to the old value, throw left 60" in shown
    assert len(club.json("matchday", "A01", *TODAY, exit_code=1)["athletes"][0]["alerts"]) == 1


def test_the_whole_squad_without_those_who_did_not_agree(club: Club) -> None:
    club.run("athlete", "A02", "--consent", "club")
    club.run("athlete", "A03", "--consent", "none")
    found = club.json("matchday", *TODAY, exit_code=1)["athletes"]
    assert [one["athlete"] for one in found] == ["A01", "A02"]
    assert "is of one athlete" in club.run("matchday", "--match-profile", "1", exit_code=2)


def test_the_page_is_one_file_that_needs_nothing_beside_itself(club: Club, tmp_path: Path) -> None:
    measure(club)
    club.run("event", "A01", "--event", "other", "--note", "<b>bolt</b>", "--on", "2026-02-10")
    club.run("athlete", "A02", "--consent", "club")
    page = tmp_path / "list.html"
    club.run("matchday", *TODAY, "--html", str(page), exit_code=1)
    text = page.read_text(encoding="utf-8")
    assert text.count('<section class="sheet"') == 2 and '<html lang="en">' in text
    assert "&lt;b&gt;bolt&lt;/b&gt;" in text and "<b>bolt" not in text
    for outside in ("http:", "https:", "<script", "src=", "@import", "url("):
        assert outside not in text
    for line in ALWAYS:
        assert line.replace("'", "&#39;") in text
    club.run("matchday", *TODAY, "--html", str(page), exit_code=1)
    assert page.read_text(encoding="utf-8") == text
    assert "could not be written" in club.run("matchday", "--html", str(tmp_path), exit_code=2)
