"""``rampbook change`` and ``rampbook goback``."""

from __future__ import annotations

import pytest

from rampbook.domain.cautions import ALWAYS, LONGER_STOP

from .conftest import Club


def value_of(club: Club, setting: str, on: str) -> float:
    rows = club.json("settings", "A01", "--on", on)["rows"]
    return next(float(row["value"]) for row in rows if row["setting"] == setting)


def test_a_change_is_logged_with_its_old_value_and_its_way_back(club: Club) -> None:
    shown = club.change("throw_left", "50", "--planned", "--id", "CH1")
    assert "Logged CH1: throw_left from 60 to 50, A01, profile 1, 2026-02-10 (planned, coach)." in shown
    assert "The way back: rampbook goback CH1" in shown
    for line in ALWAYS:
        assert line in shown
    (row,) = club.rows("changes")
    assert (row["old_value"], row["new_value"], row["chair"], row["planned"]) == (60, 50, "C1", 1)


def test_json_names_the_change_and_the_way_back(club: Club) -> None:
    wish = ("--setting", "throw_left", "--to", "50", "--profile", "1", "--on", "2026-02-10")
    answer = club.json("change", "A01", *wish, "--why", "a try", "--role", "coach", "--reacting", "--id", "CH1")
    assert (answer["change"], answer["old_value"], answer["new_value"]) == ("CH1", 60.0, 50.0)
    assert (answer["planned"], answer["already_there"]) == (0, False)
    assert answer["way_back"] == "rampbook goback CH1"


def test_the_same_call_twice_adds_nothing_and_says_so(club: Club) -> None:
    club.change("throw_left", "50", "--from", "60")
    assert "Nothing was added" in club.change("throw_left", "50", "--from", "60")
    assert len(club.rows("changes")) == 1


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--profile", "1", "--why", " "), "--why is empty: a few words are enough. Nothing was saved."),
        (("--profile", "9" * 20, "--why", "a try"), "that is too large"),
    ],
)
def test_what_cannot_be_kept_is_refused_in_words(club: Club, args: tuple[str, ...], said: str) -> None:
    wish = ("--setting", "throw_left", "--to", "50", "--role", "coach", "--on", "2026-02-10")
    assert said in club.run("change", "A01", *wish, *args, exit_code=2)
    assert club.rows("changes") == []


def test_a_blocked_change_leaves_nothing_and_names_the_steps(club: Club) -> None:
    message = club.change("forward_speed_max", "15", exit_code=2)
    assert "forward_speed_max can't go to 15. Nothing was saved." in message
    assert "reverse_speed_max can't be above forward_speed_max (reverse_speed_max is 60)" in message
    assert "1. reverse_speed_min from 20 to 15" in message
    assert "3. forward_speed_max from 80 to 15" in message
    for line in ALWAYS:
        assert line in message
    assert club.rows("changes") == []


def test_a_blocked_change_answers_programs_too(club: Club) -> None:
    wish = ("--setting", "forward_speed_max", "--to", "15", "--profile", "1", "--on", "2026-02-10")
    answer = club.json("change", "A01", *wish, "--why", "a try", "--role", "coach", exit_code=2)
    assert answer["change"] is None
    assert [step["setting"] for step in answer["steps"]][-1] == "forward_speed_max"


@pytest.mark.parametrize(
    ("setting", "to", "more", "said"),
    [
        ("throw_left", "55", ("--from", "45"), 'old_value is "45": on 2026-02-10 the sheet of A01'),
        ("throw_left", "60", (), "throw_left of A01, profile 1, is 60 already, since 2026-01-10"),
        ("throw_right", "55", ("--from", "45"), "--profile 1 --chair C1 --on 2026-02-10 throw_right=45"),
        ("throw_left", "101", (), "throw_left must be from 0 to 100"),
        ("throw_left", "fifty", (), '12.4 or 12,4. Nothing was saved.'),
        ("throw", "50", (), 'no setting "throw". Did you mean throw_forward'),
        ("throw_left", "50", ("--supersedes", "CH9"), 'no change "CH9"'),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused(club: Club, setting: str, to: str, more: tuple[str, ...], said: str) -> None:
    assert said in club.change(setting, to, *more, exit_code=2)
    assert club.rows("changes") == []


def test_a_role_outside_the_list_is_refused(club: Club) -> None:
    wish = ("--setting", "throw_left", "--to", "50", "--profile", "1", "--why", "a try")
    message = club.run("change", "A01", *wish, "--role", "boss", exit_code=2)
    assert '--role is "boss": it must be one of athlete, coach' in message


def test_lowering_a_deceleration_warns_of_the_longer_stop(club: Club) -> None:
    club.run("sheet", "A01", "--chair", "C1", "--profile", "1", "--on", "2026-01-11", "deceleration_max=50")
    assert LONGER_STOP in club.change("deceleration_max", "40")
    assert LONGER_STOP not in club.change("deceleration_max", "60", on="2026-02-11")


def test_going_back_restores_the_old_value_and_names_the_change(club: Club) -> None:
    club.change("throw_left", "50", "--id", "CH1")
    shown = club.run("goback", "CH1", "--on", "2026-03-01", "--id", "CH2", "--role", "athlete")
    assert "Logged CH2: throw_left from 50 to 60" in shown
    assert "It goes back to the value before CH1." in shown
    assert value_of(club, "throw_left", "2026-02-28") == 50
    assert value_of(club, "throw_left", "2026-03-01") == 60
    assert "Nothing was added" in club.run("goback", "CH1", "--on", "2026-03-01", "--id", "CH2", "--role", "athlete")
    assert len(club.rows("changes")) == 2


def test_going_back_twice_is_refused(club: Club) -> None:
    club.change("throw_left", "50", "--id", "CH1")
    club.run("goback", "CH1", "--on", "2026-03-01", "--id", "CH2")
    message = club.run("goback", "CH1", "--on", "2026-03-05", exit_code=2)
    assert "throw_left of A01, profile 1, is 60 already, since 2026-03-01 (by CH2)" in message


def test_going_back_past_a_later_change_is_refused(club: Club) -> None:
    club.change("throw_left", "50", "--id", "CH1")
    club.change("throw_left", "40", "--id", "CH2", on="2026-02-20")
    message = club.run("goback", "CH1", "--on", "2026-03-01", exit_code=2)
    assert "CH2 changed throw_left again on 2026-02-20, later than CH1, to 40." in message
    assert "Go back on that first: rampbook goback CH2. Nothing was saved." in message
    assert len(club.rows("changes")) == 2
    club.run("goback", "CH2", "--on", "2026-03-01")
    club.run("goback", "CH1", "--on", "2026-03-02")
    assert value_of(club, "throw_left", "2026-03-02") == 60


def test_going_back_can_be_blocked_by_a_rule(club: Club) -> None:
    club.change("reverse_speed_max", "30", "--id", "CH1")
    club.change("forward_speed_max", "40", "--id", "CH2", on="2026-02-11")
    message = club.run("goback", "CH1", "--on", "2026-03-01", exit_code=2)
    assert "reverse_speed_max can't go to 60" in message
    assert "1. forward_speed_max from 40 to 60" in message


def test_an_unknown_change_cannot_be_undone(club: Club) -> None:
    assert 'no change "CH7"' in club.run("goback", "CH7", exit_code=2)


def test_a_correction_supersedes_and_both_stay(club: Club) -> None:
    club.change("throw_left", "50", "--id", "CH1")
    shown = club.change("throw_left", "55", "--id", "CH1b", "--supersedes", "CH1")
    assert "Both stay in the record:" in shown
    assert "CH1: from 60 to 50 on 2026-02-10" in shown
    assert "CH1b: from 60 to 55 on 2026-02-10, corrects CH1" in shown
    assert value_of(club, "throw_left", "2026-02-10") == 55
    assert {row["change"] for row in club.rows("changes")} == {"CH1", "CH1b"}


def test_a_missing_option_is_a_usage_error_without_a_traceback(club: Club) -> None:
    message = club.run("change", "A01", "--profile", "1", exit_code=2)
    assert "Missing option '--setting'" in message
