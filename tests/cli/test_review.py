"""What ``rampbook review`` refuses, each with a message that says what to do; its page is tested in tests/reports."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from rampbook.cli.app import app
from rampbook.cli.review import MARK, refuse_foreign_page
from rampbook.errors import ReportError
from rampbook.store import open_store
from rampbook.store.load import load_paths

SHEETS = {
    "athletes": "athlete,birth_year,consent,consent_on\nK01,2007,club,2025-08-28\nK02,2008,club,2025-08-28\n",
    "practices": "practice,athlete,on,minutes\nP1,K01,2025-09-02,60\n",
}


@pytest.fixture
def store(tmp_path: Path) -> Path:
    folder = tmp_path / "sheets"
    folder.mkdir()
    for name, text in SHEETS.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    with open_store(tmp_path / "club.duckdb") as book:
        load_paths(book, [folder])
    return tmp_path / "club.duckdb"


def review(store: Path, *words: str) -> tuple[int, str]:
    answer = CliRunner().invoke(app, ["review", *words, "--store", str(store)])
    return answer.exit_code, answer.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["K99"], 'There is no athlete "K99"'),
        (["K02"], "There is no practice to review"),
        (["--season", "last year"], 'The season is "last year"'),
        (["--season", "2025-27"], 'The season is "2025-27"'),
        (["--season", "2025-02-30..2025-03-01"], "one of its days does not exist"),
        (["--season", "2026-03-01..2026-02-01"], "ends before it begins"),
    ],
)
def test_what_cannot_be_reviewed_is_refused_and_nothing_written(store: Path, words: list[str], said: str) -> None:
    code, output = review(store, *words, "--out", str(store.parent / "page.html"))
    assert code == 2 and said in output
    assert not (store.parent / "page.html").exists()


def test_season_without_changes_gives_a_page_that_says_so(store: Path) -> None:
    page = store.parent / "page.html"
    code, output = review(store, "K01", "--out", str(page))
    assert code == 0 and str(page) in output
    html = page.read_text(encoding="utf-8")
    assert "Season review 2025-26, athlete K01" in html and "none is in the log" in html


def test_file_of_somebody_else_is_not_written_over_and_a_page_of_ours_is(store: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    page.write_text("<p>mine</p>", encoding="utf-8")
    with pytest.raises(ReportError, match="is no page of Rampbook's"):
        refuse_foreign_page(page)
    page.unlink()
    assert review(store, "K01", "--out", str(page))[0] == 0
    refuse_foreign_page(page)
    assert MARK in page.read_text(encoding="utf-8")


def test_practice_dated_ahead_does_not_choose_the_season(store: Path, tmp_path: Path) -> None:
    late = tmp_path / "practices.csv"
    late.write_text("practice,athlete,on\nP2,K01,2090-01-01\nP3,K02,2090-01-01\n", encoding="utf-8")
    with open_store(store) as book:
        load_paths(book, [late])
    page = tmp_path / "page.html"
    code, output = review(store, "K01", "--out", str(page))
    assert code == 0 and "Season 2025-26" in output
    code, output = review(store, "K02", "--out", str(tmp_path / "none.html"))
    assert code == 2 and "no practice to review up to today; 1 dated after today" in output


@pytest.mark.parametrize("more", [[], ["--json"]])
def test_season_without_a_practice_says_so_on_the_page_and_the_line(store: Path, more: list[str]) -> None:
    page = store.parent / "page.html"
    code, output = review(store, "K01", "--season", "2019-20", "--out", str(page), *more)
    assert code == 1
    assert "No practice of K01 is recorded from 2019-08-01 to 2020-07-31: there is nothing to review." in output
    assert "No practice is recorded in this time, so there is nothing to review." in page.read_text(encoding="utf-8")
