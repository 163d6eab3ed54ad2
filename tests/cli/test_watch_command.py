"""``rampbook watch``, and where else an alert is said: logging a practice, the effect and the review."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import rampbook

from .conftest import Club
from .test_app import HEAVY

CALM, COMFORT = (2, 3, 2, 1, 3, 2), (7, 8, 7, 7, 8, 7)


def practise(club: Club, on: str, collisions: int, comfort: int = 7, *more: str, exit_code: int = 0) -> str:
    """Log an hour of practice on profile 1."""
    given = ("--count", f"collisions={collisions}", "--rating", f"comfort={comfort}", "--by", "self")
    hour = ("--on", on, "--minutes", "60", "--profile", "1")
    return club.run("practice", "A01", *hour, *given, *more, exit_code=exit_code)


@pytest.fixture(scope="module")
def changed_template(template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Six calm practices, and a change after them."""
    club = Club(Path(shutil.copy(template, tmp_path_factory.mktemp("watched") / "club.duckdb")))
    for i, (collisions, comfort) in enumerate(zip(CALM, COMFORT, strict=True)):
        practise(club, f"2026-02-{i + 1:02}", collisions, comfort)
    club.change("throw_left", "55", "--id", "CH1")
    return club.path


@pytest.fixture
def changed(changed_template: Path, tmp_path: Path) -> Club:
    return Club(Path(shutil.copy(changed_template, tmp_path / "club.duckdb")))


def harmed(club: Club) -> str:
    """Log two practices with many collisions; the second one raises the alert."""
    practise(club, "2026-02-11", 4)
    return practise(club, "2026-02-12", 10, exit_code=1)


def test_a_practice_that_raises_an_alert_says_so_at_once_in_two_lines(changed: Club) -> None:
    shown = harmed(changed)
    logged, empty, first, second = shown.strip().split("\n")
    assert logged.startswith("Logged the practice of A01") and empty == ""
    assert first == (
        "Harm first: collisions rose from 2.2 to 7.0 an hour in 2 practices since CH1 "
        "(throw left 60 to 55, A01, profile 1)."
    )
    assert "Go back to the old value, throw left 60, and log it: rampbook goback CH1." in second
    assert "with a spotter and an agreed stop; the maker's instructions and licensed practice come first" in second
    assert len(changed.rows("practices")) == len(CALM) + 2


def test_the_practice_alert_is_in_its_json(changed: Club) -> None:
    harmed(changed)
    answer = changed.json(
        "practice", "A01", "--on", "2026-02-13", "--minutes", "60", "--count", "collisions=8", exit_code=1
    )
    (alert,) = answer["alerts"]
    assert (alert["change"], alert["outcome"], alert["way_back"]) == ("CH1", "collisions", "rampbook goback CH1")
    assert answer["loaded"]["practices"] == 1


def test_watch_ends_with_one_while_an_alert_stands_and_names_the_way_back(changed: Club) -> None:
    harmed(changed)
    shown = changed.run("watch", exit_code=1)
    assert shown.startswith("Harm first: collisions rose from 2.2 to 7.0 an hour")
    assert "no proof that the change did it" in shown and "no finding about anybody's health" in shown
    assert "about 1 outcome watched in" in shown
    assert "Comfort: no sign of harm so far in 2 practices" in shown
    changed.run("goback", "CH1", "--on", "2026-02-13")
    assert changed.run("watch", "A01").startswith("Nothing to watch")


def test_watch_json_holds_every_outcome_with_its_numbers(changed: Club) -> None:
    harmed(changed)
    answer = changed.json("watch", "A01", exit_code=1)
    assert answer["alerts"] == 1
    found = {one["outcome"]: one for one in answer["watched"]}
    assert found["comfort"]["state"] == "quiet" and found["collisions"]["state"] == "alert"
    told = found["collisions"]
    assert (told["n_before"], told["n_after"], told["per"]) == (6, 2, "an hour")
    assert told["before"] == pytest.approx(13 / 6) and told["after"] == 7.0
    assert 0 < told["p"] < 0.03 and told["raised_on"] == "2026-02-12"
    assert told["old_value"] == 60 and told["new_value"] == 55


def test_a_change_that_did_nothing_is_quiet_and_says_when_a_doubling_would_show(changed: Club) -> None:
    for day, collisions in (("11", 2), ("12", 3), ("13", 2)):
        assert "Harm first" not in practise(changed, f"2026-02-{day}", collisions)
    shown = changed.run("watch")
    assert "Collisions: no sign of harm so far in 3 practices (2.2 to 2.3 an hour); a doubling would" in shown


def test_comfort_that_falls_alerts(changed: Club) -> None:
    for day in ("11", "12"):
        practise(changed, f"2026-02-{day}", 2, 3)
    shown = practise(changed, "2026-02-13", 2, 4, exit_code=1)
    assert "comfort fell from 7.3 to 3.3 of 10 in 3 practices since CH1" in shown


def test_one_loss_of_control_is_enough(changed: Club) -> None:
    shown = practise(changed, "2026-02-11", 2, 7, "--count", "loss_of_control=1", exit_code=1)
    assert "loss of control was logged on 2026-02-11" in shown and "one is enough" in shown
    assert "rampbook goback CH1" in shown


def test_a_loss_of_control_that_came_before_the_change_too_is_left_to_the_watch(changed: Club) -> None:
    for i in range(1, 7):
        changed.run("practice", "A01", "--on", f"2026-02-{i:02}", "--profile", "1", "--count", "loss_of_control=1")
    practise(changed, "2026-02-11", 2, 7, "--count", "loss_of_control=1")
    assert changed.json("watch")["alerts"] == 0


def test_what_else_happened_is_named_and_the_alert_still_stands(changed: Club) -> None:
    changed.run("event", "A01", "--event", "tyres", "--on", "2026-02-11")
    harmed(changed)
    shown = changed.run("watch", exit_code=1)
    assert "That day or since, there was also: the tyres changed, or their pressure on 2026-02-11." in shown


def test_helpful_counts_and_other_profiles_are_not_watched(changed: Club) -> None:
    changed.run("practice", "A01", "--on", "2026-02-11", "--profile", "2", "--count", "collisions=30")
    changed.run("practice", "A01", "--on", "2026-02-11", "--profile", "1", "--count", "goals=30")
    assert {one["outcome"] for one in changed.json("watch")["watched"]} == {"collisions", "comfort"}


def test_going_back_on_a_return_is_watched_again_but_the_return_is_not(changed: Club) -> None:
    changed.run("goback", "CH1", "--on", "2026-02-15", "--id", "CH2")
    assert changed.json("watch")["watched"] == []
    changed.run("goback", "CH2", "--on", "2026-02-20", "--id", "CH3")
    practise(changed, "2026-02-16", 2)
    found = changed.json("watch")["watched"]
    assert {one["change"] for one in found} == {"CH3"}
    assert {one["n_before"] for one in found} == {1} and {one["state"] for one in found} == {"waiting"}


def test_a_sheet_that_shows_another_value_ends_the_watch(changed: Club) -> None:
    harmed(changed)
    changed.run(
        "sheet", "A01", "--chair", "C1", "--profile", "1", "--on", "2026-02-14", "throw_left=60", exit_code=1
    )
    assert changed.json("watch")["watched"] == []


def test_the_effect_carries_the_alert_before_all_other_warnings(changed: Club) -> None:
    harmed(changed)
    answer = changed.json("effect", "CH1", "--outcome", "comfort", exit_code=1)
    assert answer["warnings"][0]["code"] == "harm_alert"
    assert "collisions rose from 2.2 to 7.0 an hour" in answer["warnings"][0]["message"]
    assert "rampbook goback CH1" in answer["warnings"][0]["message"]


def test_the_review_begins_with_the_alert(changed: Club, tmp_path: Path) -> None:
    harmed(changed)
    page = tmp_path / "page.html"
    shown = changed.run("review", "A01", "--season", "2025-26", "--out", str(page))
    assert shown.startswith("Harm first: collisions rose")
    html = page.read_text(encoding="utf-8")
    assert '<h2 id="harm">Harm first</h2>' in html and html.index("Harm first") < html.index("What was learned")
    assert changed.json("review", "A01", "--season", "2025-26")["alerts"][0]["outcome"] == "collisions"


def test_an_unknown_athlete_is_refused(changed: Club) -> None:
    assert 'no athlete "B07"' in changed.run("watch", "B07", exit_code=2)


def test_nothing_to_watch_is_said(club: Club) -> None:
    assert club.run("watch").startswith("Nothing to watch: no change is in force")


SCRIPT = """
import sys
from rampbook.cli.app import app
code = app(["practice", "A01", "--on", "2026-02-11", "--minutes", "60", "--count", "collisions=12", "--rating",
            "comfort=2"], standalone_mode=False)
assert code == 1, code
code = app(["watch"], standalone_mode=False)
assert code == 1, code
assert not [name for name in sys.argv[1:] if name in sys.modules], sys.modules.keys()
"""


def test_an_alert_is_found_without_loading_heavy_libraries(changed: Club) -> None:
    source = Path(rampbook.__file__).parents[1]
    env = {**os.environ, "RAMPBOOK_STORE": str(changed.path), "PYTHONPATH": str(source)}
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, *HEAVY], env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("Harm first: collisions rose") == 2
