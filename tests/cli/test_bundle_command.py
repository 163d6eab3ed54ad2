"""``rampbook bundle``, the way back of a bundle, and how its effect and its history speak of it."""

from __future__ import annotations

import subprocess
import sys

import pytest

from rampbook.domain.cautions import ALWAYS, RAISED

from .conftest import Club

TWO = ("forward_speed_max=15", "reverse_speed_max=15", "reverse_speed_min=10")
MORE = ("--profile", "1", "--why", "too quick", "--role", "coach")


def bundle(club: Club, *args: str, on: str = "2026-02-10", exit_code: int = 0) -> str:
    return club.run("bundle", "A01", *args, *MORE, "--on", on, exit_code=exit_code)


def values_on(club: Club, on: str) -> dict[str, float]:
    return {row["setting"]: row["value"] for row in club.json("settings", "A01", "--on", on)["rows"]}


def test_a_bundle_is_logged_in_an_order_that_breaks_no_rule(club: Club) -> None:
    shown = bundle(club, *TWO, "--planned", "--id", "B1")
    assert "Logged bundle B1: 3 changes in one go, A01, profile 1, 2026-02-10 (planned, coach)." in shown
    assert "One change at a time is the rule. These 3 were made in one go" in shown
    assert "estimated only as a bundle: no record can tell what one of them did alone" in shown
    steps = [shown.index(f"{i}. {name} from") for i, name in enumerate(
        ("reverse_speed_min", "reverse_speed_max", "forward_speed_max"), start=1)]  # fmt: skip
    assert steps == sorted(steps)
    assert "rampbook goback B1" in shown
    for line in ALWAYS:
        assert line in shown
    rows = sorted(club.rows("changes"), key=lambda row: row["logged_at"])
    assert [(r["change"], r["bundle"], r["old_value"], r["new_value"], r["planned"]) for r in rows] == [
        ("B1-reverse_speed_min", "B1", 20, 10, 1),
        ("B1-reverse_speed_max", "B1", 60, 15, 1),
        ("B1-forward_speed_max", "B1", 80, 15, 1),
    ]


def test_the_json_holds_every_change_and_the_warning(club: Club) -> None:
    answer = club.json("bundle", "A01", *TWO, *MORE, "--on", "2026-02-10", "--id", "B1")
    assert (answer["bundle"], answer["already_there"], answer["way_back"]) == ("B1", False, "rampbook goback B1")
    assert [c["setting"] for c in answer["changes"]] == ["reverse_speed_min", "reverse_speed_max", "forward_speed_max"]
    assert {c["bundle"] for c in answer["changes"]} == {"B1"}
    assert [s["setting"] for s in answer["steps_back"]] == [
        "forward_speed_max", "reverse_speed_max", "reverse_speed_min",
    ]  # fmt: skip
    assert "only as a bundle" in answer["warnings"][0]


def test_the_same_bundle_twice_adds_nothing(club: Club) -> None:
    bundle(club, *TWO)
    again = bundle(club, *reversed(TWO))
    assert "Nothing was added: it is in the store already as bundle bundle-" in again
    assert len(club.rows("changes")) == 3


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("forward_speed_max=15", "deadband=12"), "reverse_speed_max can't be above forward_speed_max"),
        (("deadband=12",), "A bundle is of two settings or more, and deadband is one."),
        (("deadband=12", "deadband=13"), "SETTING=NEW gives deadband twice"),
        (("deadband=12", "throw_left=60"), "throw_left of A01, profile 1, is 60 already"),
        (("deadband=12", "turn_speed_max=40"), "has no turn_speed_max on 2026-02-10"),
        (("deadband=12", "ghost=40"), 'There is no setting "ghost"'),
        (("deadband=12", "throw_left=101"), "throw_left must be from 0 to 100"),
        (("deadband=12", "throw_left=50", "--from", "throw_left=61"), "the sheet of A01 (chair C1, profile 1)"),
        (("deadband=12", "throw_left=50", "--from", "throw_right=61"), "--from names throw_right"),
    ],
)
def test_a_bundle_with_one_bad_change_leaves_nothing(club: Club, args: tuple[str, ...], said: str) -> None:
    assert said in bundle(club, *args, exit_code=2)
    assert club.rows("changes") == []


def test_a_blocked_bundle_names_the_order_that_gets_there(club: Club) -> None:
    message = bundle(club, "forward_speed_max=15", "deadband=12", exit_code=2)
    assert "These changes cannot stand together as the sheet is. Nothing was saved." in message
    assert message.index("1. ") < message.index("reverse_speed_min from 20 to 15")
    answer = club.json("bundle", "A01", "forward_speed_max=15", "deadband=12", *MORE, exit_code=2)
    assert answer["bundle"] is None
    assert {step["setting"] for step in answer["steps"]} == {
        "deadband", "reverse_speed_min", "reverse_speed_max", "forward_speed_max",
    }  # fmt: skip


def test_an_id_that_other_changes_have_is_refused(club: Club) -> None:
    bundle(club, *TWO, "--id", "B1")
    said = bundle(club, "deadband=12", "throw_left=50", "--id", "B1", on="2026-02-11", exit_code=2)
    assert 'The store has a bundle "B1" already, with other changes.' in said


def test_going_back_returns_all_of_it_in_a_safe_order(club: Club) -> None:
    before = values_on(club, "2026-02-09")
    bundle(club, *TWO, "--id", "B1")
    assert values_on(club, "2026-02-10")["forward_speed_max"] == 15
    shown = club.run("goback", "B1", "--on", "2026-02-20", "--role", "coach")
    assert "B1-back-forward_speed_max: forward_speed_max from 15 to 80, back to before B1-forward_speed_max" in shown
    assert RAISED in shown
    assert values_on(club, "2026-02-20") == before
    rows = sorted((r for r in club.rows("changes") if r["bundle"] == "B1-back"), key=lambda row: row["logged_at"])
    assert [(r["setting"], r["goes_back_to"]) for r in rows] == [
        ("forward_speed_max", "B1-forward_speed_max"),
        ("reverse_speed_max", "B1-reverse_speed_max"),
        ("reverse_speed_min", "B1-reverse_speed_min"),
    ]
    assert "Nothing was added" in club.run("goback", "B1", "--on", "2026-02-20", "--role", "coach")


def test_going_back_past_a_later_change_leaves_all_as_it_is(club: Club) -> None:
    bundle(club, "deadband=12", "throw_left=50", "--id", "B1")
    club.change("throw_left", "40", "--id", "CH2", on="2026-02-15")
    said = club.run("goback", "B1", "--on", "2026-02-20", exit_code=2)
    assert "CH2 changed throw_left again on 2026-02-15" in said
    assert len(club.rows("changes")) == 3


def test_one_of_a_bundle_can_go_back_alone_and_says_so(club: Club) -> None:
    bundle(club, "deadband=12", "throw_left=50", "--id", "B1")
    shown = club.run("goback", "B1-deadband", "--on", "2026-02-20")
    assert "B1-deadband is one of bundle B1, and the others stay as they are. All of them: rampbook goback B1" in shown
    # What is back already is left; the rest follows.
    club.run("goback", "B1", "--on", "2026-02-21")
    assert values_on(club, "2026-02-21")["throw_left"] == 60
    assert values_on(club, "2026-02-21")["deadband"] == 10


def test_a_correction_stays_in_its_bundle(club: Club) -> None:
    bundle(club, "deadband=12", "throw_left=50", "--id", "B1")
    shown = club.change("deadband", "11", "--supersedes", "B1-deadband", "--id", "B1-deadband-2")
    assert "It is one of bundle B1, and estimated only with it." in shown
    club.run("goback", "B1", "--on", "2026-02-20")
    assert values_on(club, "2026-02-20")["deadband"] == 10


def test_the_history_shows_the_bundle_together(club: Club) -> None:
    bundle(club, "deadband=12", "throw_left=50", "--id", "B1")
    shown = club.run("settings", "A01", "--history")
    assert "Made in one go, so estimated only together:" in shown
    assert "bundle B1: B1-deadband, B1-throw_left. The way back: rampbook goback B1" in shown
    assert {r["bundle"] for r in club.json("settings", "A01", "--history")["history"]} == {"B1"}


def test_a_single_change_is_of_no_bundle(club: Club) -> None:
    assert "bundle" not in club.change("deadband", "12")
    assert "in one go" not in club.run("settings", "A01", "--history")


@pytest.fixture
def practised(club: Club) -> Club:
    """A bundle with practices on both sides, each half a second faster after it."""
    bundle(club, "deadband=12", "throw_left=50", "--id", "B1", on="2026-02-10")
    for day, seconds in ((20, 31), (22, 30), (25, 31), (27, 30), (29, 31)):
        _practice(club, f"2026-01-{day}", seconds)
    for day, seconds in ((11, 24), (13, 25), (15, 24), (17, 25), (19, 24)):
        _practice(club, f"2026-02-{day}", seconds)
    return club


def _practice(club: Club, on: str, seconds: int) -> None:
    club.run(
        "practice", "A01", "--profile", "1", "--on", on, "--drill", "gate", "--seconds", str(seconds), "--dial", "60"
    )


@pytest.mark.parametrize("asked", ["B1-deadband", "B1-throw_left", "B1"])
def test_the_effect_of_any_of_them_is_of_the_bundle_and_never_of_one(practised: Club, asked: str) -> None:
    found = practised.json("effect", asked)
    assert found["estimate"] is not None
    assert found["rung"] == "noted"
    assert "in one go with" in found["allowed_sentence"]
    assert "(bundle B1): the estimate is of the whole bundle, and what one of them did alone cannot be told." in (
        found["allowed_sentence"]
    )
    told = {w["code"]: w["message"] for w in found["warnings"]}
    assert "This estimates bundle B1, never one of them." in told["several_settings"]
    shown = practised.run("effect", asked)
    title, _, names = shown.splitlines()[0].partition(", bundle B1: ")
    assert title == "Gate, profile 1, athlete A01"
    assert sorted(names.split(", ")) == ["deadband", "throw left"]


def test_the_review_tells_of_a_bundle_once(practised: Club) -> None:
    page = practised.path.parent / "review.html"
    practised.run("review", "A01", "--out", str(page))
    html = page.read_text(encoding="utf-8")
    assert html.count('class="card"') == 1
    assert "In one go with" in html
    assert "of all of them together, never of one" in html
    assert "nothing was measured that could be compared" not in html


def test_the_watch_names_the_way_back_of_the_whole_bundle(club: Club) -> None:
    bundle(club, "deadband=12", "throw_left=50", "--id", "B1", on="2026-02-10")
    for day in (20, 22, 25, 27, 29):
        club.run("practice", "A01", "--profile", "1", "--on", f"2026-01-{day}", "--count", "collisions=1", "--minutes",
                 "30")  # fmt: skip
    for day in (11, 13, 15):
        club.run("practice", "A01", "--profile", "1", "--on", f"2026-02-{day}", "--count", "collisions=12",
                 "--minutes", "30", exit_code=1)  # fmt: skip
    shown = club.run("watch", "A01", exit_code=1)
    assert "since bundle B1 (deadband 10 to 12 and others in one go, A01, profile 1)" in shown
    assert "Go back on all of bundle B1, made in one go, and log it: rampbook goback B1." in shown
    assert shown.count("Go back on all") == 1


def test_logging_a_bundle_loads_no_heavy_library(club: Club) -> None:
    code = (
        "import sys\nfrom typer.testing import CliRunner\nfrom rampbook.cli.app import app\n"
        "done = CliRunner().invoke(app, ['bundle', 'A01', 'deadband=12', 'throw_left=50', '--profile', '1', '--why', "
        f"'a try', '--role', 'coach', '--store', {str(club.path)!r}])\n"
        "assert done.exit_code == 0, done.output\n"
        "print(sorted({'polars', 'numpy', 'scipy', 'altair', 'pandas'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == "[]"
