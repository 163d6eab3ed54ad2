"""Places that cannot be written: refused in one plain sentence, exit 2, by every command that writes a file."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from rampbook.cli.app import app
from rampbook.cli.demo import claim_folder
from rampbook.cli.output import writing
from rampbook.errors import ReportError

from .conftest import Club

NO_PLACE = "could not be written (not a directory). Name a place that you may write to with"


@pytest.fixture
def blocked(tmp_path: Path) -> Path:
    """A path below a file, where nobody can write, whatever their rights."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    return tmp_path / "file" / "below"


def test_a_store_that_cannot_be_made_is_refused(club: Club, blocked: Path, tmp_path: Path) -> None:
    (tmp_path / "athletes.csv").write_text("athlete,consent\nK01,club\n", encoding="utf-8")
    for place in (blocked / "x.duckdb", tmp_path, tmp_path / "athletes.csv"):
        message = club.run("load", str(tmp_path / "athletes.csv"), "--store", str(place), exit_code=2)
        assert str(place) in message and "with --store" in message


def test_a_review_that_cannot_be_written_is_refused(club: Club, blocked: Path) -> None:
    message = club.run("review", "A01", "--season", "2025-26", "--out", f"{blocked}/page.html", exit_code=2)
    assert f"page.html {NO_PLACE} --out." in message


def test_a_picture_that_cannot_be_written_is_refused(blocked: Path, tmp_path: Path) -> None:
    rows = [f"{day},{int(day > 8)},{12 - (day > 8) + 0.1 * (day % 3)}" for day in range(1, 17)]
    series = tmp_path / "series.csv"
    series.write_text("practice,phase,value\n" + "\n".join(rows) + "\n", encoding="utf-8")
    words = ["--kind", "time", "--picture", f"{blocked}/p.svg"]
    answer = CliRunner().invoke(app, ["series", str(series), *words])
    assert answer.exit_code == 2, answer.output
    assert f"p.svg {NO_PLACE} --picture." in answer.output


def test_a_demo_that_cannot_be_written_is_refused(blocked: Path) -> None:
    with pytest.raises(ReportError, match=r"could not be written \(not a directory\)"):
        claim_folder(blocked / "demo")


def test_only_the_system_s_own_refusals_are_put_in_plain_words(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="ours"), writing(tmp_path, option="--out"):
        raise ValueError("ours")
