"""The demo from nothing to its pages, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from rampbook.cli.app import app
from rampbook.cli.demo import MARK, claim_folder, invented_club
from rampbook.errors import ReportError

STORIES = invented_club().stories


def test_club_is_found_from_another_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert len(invented_club().club.write_tables(tmp_path / "sheets")) == 9


def test_folder_of_somebody_else_is_refused_and_left_alone(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(ReportError, match="is not empty and was not made by the demo"):
        claim_folder(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


def test_file_in_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine", encoding="utf-8")
    with pytest.raises(ReportError, match="is a file"):
        claim_folder(tmp_path / "out")


def test_own_folder_is_taken_again_and_only_its_store_goes(tmp_path: Path) -> None:
    claim_folder(tmp_path / "out")
    for name in ("club.duckdb", "season-review.html", "added by hand.txt"):
        (tmp_path / "out" / name).write_text("x", encoding="utf-8")
    claim_folder(tmp_path / "out")
    left = {path.name for path in (tmp_path / "out").iterdir()}
    assert left == {MARK, "season-review.html", "added by hand.txt"}


@pytest.mark.slow
def test_demo_judges_every_change_and_writes_its_pages(tmp_path: Path) -> None:
    out = tmp_path / "demo"
    answer = CliRunner().invoke(app, ["demo", "--out", str(out), "--json"])
    assert answer.exit_code in (0, 1), answer.output
    told = json.loads(answer.stdout)
    judged = told["changes"]
    told_of = [(one["change"], one["outcome"]) for one in judged]
    assert told_of == [(truth.change, truth.outcome) for truth in STORIES.TRUTHS]
    assert len(told["load"]["set_aside"]) == len(STORIES.BAD_ROWS)
    # A seeded club: these are stories whose point would be lost if the tool claimed more than it may.
    said = {(one["change"], one["outcome"]): one for one in judged}
    assert not [one for one in judged if one["judgement"] == "WRONG"]
    for change in ("C06", "C07", "C13", "C14"):
        assert {one["rung"] for (name, _), one in said.items() if name == change} == {"noted"}
    assert said["C09", "drill:gate"]["verdict"] in ("cannot tell yet", "no worthwhile difference")
    assert said["C04", "collisions"]["verdict"] == "worse"
    review = (out / "season-review.html").read_text(encoding="utf-8")
    assert review.count("<article") == len({t.change for t in STORIES.TRUTHS})
    pictures = sorted(path.suffix for path in (out / "pictures").iterdir())
    assert pictures == [".svg"] * len(STORIES.TRUTHS)

    check_review_of_one_athlete(out / "club.duckdb")


def check_review_of_one_athlete(store: Path) -> None:
    """Review K07 in the demo's store: its own changes, its own rows, and nobody else's."""
    answer = CliRunner().invoke(app, ["review", "K07", "--season", "2025-26", "--json", "--store", str(store)])
    told = json.loads(answer.stdout)
    assert {effect["change"] for effect in told["effects"]} == {"C13", "C14"}
    assert [row["athlete"] for row in told["completeness"]] == ["K07"]
    assert told["set_aside"] == [] and told["page"] is None
