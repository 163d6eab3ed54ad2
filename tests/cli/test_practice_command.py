"""``rampbook practice``, ``athlete``, ``sheet`` and ``event``: a club can start without any file."""

from __future__ import annotations

import pytest

from .conftest import Club

FULL = (
    "practice", "A01", "--on", "2026-02-12", "--minutes", "60", "--surface", "wood", "--battery", "90",
    "--dial", "70", "--fatigue", "3", "--pain", "0", "--profile", "1", "--drill", "slalom",
    "--seconds", "12,4", "--seconds", "12.9", "--seconds", "12,4", "--touches", "0", "--touches", "1",
    "--touches", "0", "--unfinished", "30", "--timer", "T1", "--count", "collisions=3",
    "--count-minutes", "40", "--rating", "comfort=7", "--by", "self", "--tries", "passes=7/10",
)  # fmt: skip
TABLES = ("practices", "attempts", "counts", "ratings", "tries")


def held(club: Club) -> dict[str, int]:
    return {table: len(club.rows(table)) for table in TABLES}


def test_a_practice_goes_in_whole(club: Club) -> None:
    shown = club.run(*FULL)
    assert "1 in practices, 4 in attempts, 1 in counts, 1 in ratings, 1 in tries" in shown
    (practice,) = club.rows("practices")
    assert [practice[c] for c in ("minutes", "battery_percent", "dial_percent", "fatigue", "pain")] == [
        60, 90, 70, 3, 0,
    ]  # fmt: skip
    attempts = sorted(club.rows("attempts"), key=lambda row: (row["finished"], row["seconds"] or 0))
    assert [(a["seconds"], a["finished"], a["limit_s"], a["touches"]) for a in attempts] == [
        (None, 0, 30, None), (12.4, 1, None, 0), (12.4, 1, None, 0), (12.9, 1, None, 1),
    ]  # fmt: skip
    (count,) = club.rows("counts")
    assert (count["outcome"], count["count"], count["minutes"]) == ("collisions", 3, 40)
    (rating,) = club.rows("ratings")
    assert (rating["outcome"], rating["rating"], rating["by"]) == ("comfort", 7, "self")
    (tries,) = club.rows("tries")
    assert (tries["outcome"], tries["successes"], tries["tries"]) == ("passes", 7, 10)


def test_the_same_practice_twice_adds_nothing_and_says_so(club: Club) -> None:
    club.run(*FULL)
    once = held(club)
    assert "Nothing was added" in club.run(*FULL)
    assert held(club) == once
    assert set(club.json(*FULL)["loaded"].values()) <= {0}


def test_a_later_call_adds_to_the_practice(club: Club) -> None:
    club.run(*FULL)
    club.run("practice", "A01", "--on", "2026-02-12", "--rating", "control=6,5")
    assert held(club) == {"practices": 1, "attempts": 4, "counts": 1, "ratings": 2, "tries": 1}
    assert {row["practice"] for row in club.rows("ratings")} == {club.rows("practices")[0]["practice"]}


def test_other_details_of_the_same_practice_are_refused(club: Club) -> None:
    club.run(*FULL)
    message = club.run("practice", "A01", "--on", "2026-02-12", "--minutes", "50", exit_code=2)
    assert "is in the store with minutes 60.0, not 50.0" in message


def test_two_practices_on_one_day_need_their_ids(club: Club) -> None:
    club.run("practice", "A01", "--on", "2026-02-12", "--id", "P1")
    club.run("practice", "A01", "--on", "2026-02-12", "--id", "P2")
    message = club.run("practice", "A01", "--on", "2026-02-12", "--rating", "comfort=5", exit_code=2)
    assert "more than one practice on 2026-02-12: P1, P2. Say which with --id" in message
    club.run("practice", "A01", "--on", "2026-02-12", "--id", "P2", "--rating", "comfort=5")
    assert club.rows("ratings")[0]["practice"] == "P2"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--drill", "slalom", "--seconds", "-3"), "seconds is"),
        (("--drill", "slalom", "--seconds", "12,4,5"), '--seconds is "12,4,5": it must be a number'),
        (("--drill", "slalom"), "--drill slalom has no attempt"),
        (("--seconds", "12"), "--seconds needs --drill"),
        (("--drill", "slalom", "--seconds", "9", "--touches", "1", "--touches", "2", "--touches", "3"),
         "--touches is given 3 times for 1 attempts"),
        (("--drill", "slalom", "--seconds", "9", "--touches", "-1"), '--touches is "-1": it must be a whole'),
        (("--count", "collisions=2.5"), 'collisions is "2.5": it must be a whole number'),
        (("--count", "collisions=1", "--count", "collisions=2"), "--count gives collisions twice, 1 and 2"),
        (("--count-minutes", "40"), "--count-minutes needs --count"),
        (("--rating", "comfort=11"), "rating is"),
        (("--rating", "comfort"), '--rating is "comfort": write NAME=VALUE'),
        (("--rating", "comfort=7", "--by", "mother"), '--by is "mother": it must be one of self, told'),
        (("--by", "self"), "--by needs --rating"),
        (("--tries", "passes=7"), 'passes is "7": write successes/tries'),
        (("--tries", "passes=8/7"), "successes"),
        (("--battery", "140"), "battery_percent is"),
        (("--fatigue", "11"), "fatigue is"),
        (("--on", "12.2.26"), '--on is "12.2.26": write a day that exists'),
    ],
)  # fmt: skip
def test_one_bad_value_and_nothing_is_saved(club: Club, more: tuple[str, ...], said: str) -> None:
    good = ("--minutes", "60", "--tries", "goals=1/2")
    assert said in club.run("practice", "A01", "--on", "2026-02-12", *good, *more, exit_code=2)
    assert set(held(club).values()) == {0}


def test_a_future_day_is_warned_of_but_kept(club: Club) -> None:
    assert "2199-01-01 is in the future" in club.run("practice", "A01", "--on", "2199-01-01")
    assert len(club.rows("practices")) == 1


def test_an_unknown_athlete_is_refused_with_the_way_in(club: Club) -> None:
    message = club.run("practice", "B07", exit_code=2)
    assert 'no athlete "B07". It knows A01. Log one with: rampbook athlete CODE --consent club' in message


def test_consent_is_superseded_never_written_over(club: Club) -> None:
    assert "Nothing was added" in club.run("athlete", "A01", "--consent", "club")
    shown = club.run("athlete", "A01", "--consent", "none", "--consent-on", "2026-04-01")
    assert "Before, it was club since 2026-01-05" in shown
    assert sorted(str(row["consent"]) for row in club.rows("athletes")) == ["club", "none"]
    assert {row["birth_year"] for row in club.rows("athletes")} == {2008}


def test_after_consent_is_withdrawn_nothing_is_kept(club: Club) -> None:
    club.run("athlete", "A01", "--consent", "none")
    assert "consent is none" in club.run("practice", "A01", "--on", "2026-05-01", exit_code=2)
    assert club.rows("practices") == []


def test_a_name_is_no_code(club: Club) -> None:
    assert "code without spaces, never a name" in club.run(
        "athlete", "Two Words", "--consent", "club", exit_code=2
    )
    assert '--consent is "yes": it must be one of club, pool, none' in club.run(
        "athlete", "A02", "--consent", "yes", exit_code=2
    )


def test_a_sheet_that_differs_needs_a_person(club: Club) -> None:
    read = ("sheet", "A01", "--chair", "C1", "--profile", "1", "--on", "2026-03-01", "throw_left=55")
    shown = club.run(*read, exit_code=1)
    assert "throw_left was 60 on the sheet since 2026-01-10 and reads 55 now; no change was logged" in shown


def test_a_sheet_that_breaks_a_rule_is_kept_and_needs_a_person(club: Club) -> None:
    read = ("sheet", "A01", "--chair", "C1", "--profile", "2", "--on", "2026-03-01")
    answer = club.json(*read, "forward_speed_max=30", "reverse_speed_max=40", exit_code=1)
    assert "reverse_speed_max can't be above forward_speed_max" in answer["notes"][0]
    assert answer["loaded"] == {"settings": 2}


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("throw_left=140", "throw_left must be from 0 to 100: 140 was typed"),
        ("throw_leftt=40", 'no setting "throw_leftt". Did you mean'),
        ("throw_left", "write NAME=VALUE"),
    ],
)
def test_a_sheet_value_that_cannot_be_is_refused(club: Club, value: str, said: str) -> None:
    n_before = len(club.rows("settings"))
    message = club.run(
        "sheet", "A01", "--profile", "1", "--on", "2026-03-01", "deadband=8", value, exit_code=2
    )
    assert said in message
    assert len(club.rows("settings")) == n_before


def test_an_event_is_logged_once(club: Club) -> None:
    told = ("event", "A01", "--event", "tyres", "--on", "2026-02-11", "--note", "front pair")
    club.run(*told)
    assert "Nothing was added" in club.run(*told)
    (row,) = club.rows("events")
    assert (row["event"], row["note"]) == ("tyres", "front pair")
    assert '--event is "tires": it must be one of new_joystick' in club.run(
        "event", "A01", "--event", "tires", exit_code=2
    )
