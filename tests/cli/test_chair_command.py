"""``rampbook chair``: a new chair is logged with its scale and its first day, and never mixed with another."""

from __future__ import annotations

from .conftest import Club

NEW = ("chair", "A01", "C2", "--since", "2026-03-02", "--scale", "S2")


def test_a_new_chair_is_logged_and_the_next_steps_are_told(club: Club) -> None:
    told = club.run(*NEW, "--scale-definition", "0 to 10 in steps", "--goals", "turn without overshooting")
    assert "Logged chair C2 of A01" in told
    assert "Chair C1: first seen on its sheet 2026-01-10" in told
    assert "Chair C2: since 2026-03-02; scale S2" in told and "goals: turn without overshooting" in told
    assert "2026-03-02: chair C2 is driven from then on" in told
    assert "rampbook sheet A01 --chair C2 --profile N" in told and "rampbook move A01" in told
    assert "One change at a time" in told and "spotter" in told
    row = club.rows("chairs")[0]
    assert (row["athlete"], row["chair"], str(row["since"]), row["scale"]) == ("A01", "C2", "2026-03-02", "S2")


def test_what_is_said_later_completes_what_stands(club: Club) -> None:
    club.run(*NEW, "--goals", "stop calmly")
    club.run("chair", "A01", "C2", "--until", "2026-05-01")
    chairs = club.json("chair", "A01")["chairs"]
    assert [(one["chair"], one["since"], one["until"], one["goals"], one["scale"]) for one in chairs] == [
        ("C1", None, None, None, None),
        ("C2", "2026-03-02", "2026-05-01", "stop calmly", "S2"),
    ]
    assert len(club.rows("chairs")) == 2, "a correction is a row of its own"
    assert "Nothing was added" in club.run("chair", "A01", "C2", "--until", "2026-05-01")


def test_another_scale_needs_another_code(club: Club) -> None:
    club.run("chair", "A01", "C1", "--scale", "S1")
    told = club.run("chair", "A01", "C1", "--scale", "S9", exit_code=2)
    assert "The sheet of chair C1 is on the scale S1, and S9 is another" in told and "code of its own" in told
    assert len(club.rows("chairs")) == 1


def test_a_chair_without_a_sheet_may_have_its_scale_corrected(club: Club) -> None:
    club.run(*NEW)
    club.run("chair", "A01", "C2", "--scale", "S3")
    assert [one["scale"] for one in club.json("chair", "A01")["chairs"]] == [None, "S3"]


def test_a_chair_of_somebody_else_is_refused(club: Club) -> None:
    club.run(*NEW)
    club.run("athlete", "B02", "--consent", "club")
    assert "Chair C2 is A01's" in club.run("chair", "B02", "C2", exit_code=2)


def test_a_last_day_before_the_first_is_refused(club: Club) -> None:
    told = club.run(*NEW, "--until", "2026-03-01", exit_code=2)
    assert 'until is "2026-03-01": the last day of a chair cannot lie before its first' in told
    assert club.rows("chairs") == []


def test_words_without_a_chair_are_refused(club: Club) -> None:
    assert "no chair is named" in club.run("chair", "A01", "--since", "2026-03-02", exit_code=2)


def test_the_same_file_of_chairs_loaded_twice_adds_nothing(club: Club) -> None:
    file = club.path.parent / "chairs.csv"
    file.write_text("chair,athlete,scale,since,until,goals\nC2,A01,S2,2026-03-02,,quiet starts\n", encoding="utf-8")
    assert club.json("load", str(file))["loaded"]["chairs"] == 1
    assert club.json("load", str(file))["already_there"]["chairs"] == 1
    assert club.json("chair", "A01")["new_baselines"] == [
        {"on": "2026-03-02", "why": "chair C2 is driven from then on"}
    ]


def test_a_chair_on_the_sheet_of_another_athlete_is_refused(club: Club) -> None:
    club.run("athlete", "A02", "--consent", "club", "--consent-on", "2026-01-05")
    assert "Chair C1 is A01's" in club.run("chair", "A02", "C1", exit_code=2)
