"""The handover: never more than two pages, no sentence beyond its rung, and nothing dropped that did harm."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pypdf
import pytest
from typer.testing import CliRunner

from demo_data.club import write_tables
from rampbook.cli.app import app
from rampbook.cli.handover import make_handover
from rampbook.domain.settings import DEFAULT
from rampbook.reports.handover import Handover
from rampbook.reports.handover_words import document, found_words, render_handover
from rampbook.reports.typeset import Paper, typeset
from rampbook.store import Store, open_store
from rampbook.store.load import load_paths
from rampbook.store.saved import record_rows

FIRST = date(2026, 1, 5)
TODAY = date(2026, 6, 1)
HOSTILE = "<script>alert(1)</script> #set page(fill: red) $x$ *b* _i_ @ref \\ \"q\""
LIMITS = ("made the difference", "came and went")


def day(i: int) -> date:
    return FIRST + timedelta(days=3 * i)


def change(name: str, on: date, old: float, new: float, **more: Any) -> dict[str, Any]:
    return {"change": name, "athlete": "K01", "chair": "W1", "profile": 1, "setting": "turn_speed_max", "on": on,
            "old_value": old, "new_value": new, "role": "coach", "reason": f"why {name}",
            "planned": 1} | more  # fmt: skip


CHANGES = (
    change("kept", day(1), 10, 12, setting="deadband", role="technician"),
    change("harm", day(16), 50, 60, reason="turns felt slow"),
    change("undo", day(24), 60, 50, planned=0, goes_back_to="harm", reason="bumped into others"),
    change("trial", day(25), 60, 65, setting="throw_left", reason="wrist"),
    change("trialback", day(27), 65, 60, setting="throw_left", goes_back_to="trial", reason="end of the trial"),
    change("first", day(28), 70, 68, setting="forward_speed_max", reason=None, role=None),
    change("second", day(29), 68, 66, setting="forward_speed_max", reason=HOSTILE),
)
SHEET = {"deadband": 10, "turn_speed_max": 50, "throw_left": 60, "forward_speed_max": 70}


def filled(store: Store) -> None:
    """An athlete whose collisions rose with one change, which was taken back, and some others that did nothing."""
    record_rows(store, {
        "athletes": [{"athlete": "K01", "consent": "club", "consent_on": FIRST}],
        "chairs": [{"chair": "W1", "athlete": "K01", "scale": "S1", "scale_definition": "0 to 100",
                    "goals": "stop where I mean to"}],
        "settings": [{"athlete": "K01", "chair": "W1", "profile": 1, "setting": name, "value": value, "on": FIRST}
                     for name, value in SHEET.items()],
        "practices": [{"practice": f"P{i:02d}", "athlete": "K01", "on": day(i), "minutes": 60} for i in range(32)],
        "counts": [{"practice": f"P{i:02d}", "athlete": "K01", "profile": 1, "outcome": "collisions",
                    "count": (9 + i % 3 if 16 <= i < 24 else i % 3), "minutes": 60} for i in range(32)],
        "changes": list(CHANGES),
        "events": [{"athlete": "K01", "on": FIRST, "event": "tyres", "note": HOSTILE}],
    })  # fmt: skip


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "club.duckdb") as book:
        filled(book)
        yield book


@pytest.fixture
def pages(store: Store) -> Handover:
    return make_handover(store, "K01", None, TODAY)


def read(pdf: bytes) -> tuple[int, str]:
    found = pypdf.PdfReader(io.BytesIO(pdf))
    return len(found.pages), "\n".join(page.extract_text() for page in found.pages)


def test_what_became_of_each_change_is_told(pages: Handover) -> None:
    assert {one.change: one.fate for one in pages.tried} == {
        "kept": "kept", "harm": "taken back", "trial": "taken back", "first": "changed again since", "second": "kept",
    }  # fmt: skip
    assert [one.change for one in pages.kept] == ["kept", "second"]
    assert [one.change for one in pages.dropped] == ["first", "trial", "harm"]


def test_what_did_harm_or_was_taken_back_in_need_is_not_to_be_done_again(pages: Handover) -> None:
    assert [one.change for one in pages.not_again] == ["harm"], "a return that was planned is no warning"
    told = document(pages)["not_again"][0]
    assert "collisions rose" in told and "worse" in told and "bumped into others" in told


def test_every_sentence_about_a_result_is_the_one_that_its_rung_allows(pages: Handover) -> None:
    doc = document(pages)
    for one, entry in zip([*pages.kept, *pages.dropped], [*doc["kept"], *doc["dropped"]], strict=True):
        assert entry["found"] == [found_words(found) for found in one.shown]
        for found, line in zip(one.shown, entry["found"], strict=True):
            assert line.endswith(found.allowed_sentence)
            assert found.rung == "repeated" or not any(words in line for words in LIMITS)
            assert found.rung != "noted" or "noted only" in line
    noted = next(one for one in pages.tried if one.change == "second")
    assert [found.rung for found in noted.shown] == ["noted"]


def test_open_questions_name_what_is_not_known(pages: Handover) -> None:
    told = "\n".join(document(pages)["open"])
    assert "not written down: first" in told and "stopping distance" in told
    assert "of chair W1 (second): whether it helped" in told and "(harm)" not in told


def test_roles_codes_and_the_record_stand_there_and_no_more(pages: Handover) -> None:
    doc = document(pages)
    # Role, how often, last day: the two rows of the return and of the trial are the coach's too.
    assert [line.split(", last")[0] for line in doc["people"]] == [
        "coach: changed settings 5 times", "role not written down: changed settings 1 time",
        "technician: changed settings 1 time",
    ]  # fmt: skip
    assert doc["record"][0].startswith("32 practices from 5 Jan 2026 to 8 Apr 2026; something was measured in 32")
    assert "Goals: stop where I mean to." in doc["chair"] and "0 to 100" in doc["chair"][0]
    assert ["deadband", "12 *"] in doc["sheet"]["rows"] and ["throw left", "60 *"] in doc["sheet"]["rows"]


def test_the_season_bounds_what_was_tried_and_not_the_sheet(store: Store) -> None:
    late = make_handover(store, "K01", f"{day(26)}..{day(40)}", TODAY)
    assert [one.change for one in late.tried] == ["trial", "first", "second"]
    assert late.completeness is not None and late.completeness["practices"] == 6
    assert len(late.sheet) == 4


def test_a_chair_left_behind_takes_its_changes_with_it(store: Store) -> None:
    record_rows(store, {
        "chairs": [{"chair": "W2", "athlete": "K01", "since": "2026-05-01"}],
        "settings": [{"athlete": "K01", "chair": "W2", "profile": 1, "setting": "deadband", "value": 3, "on": TODAY}],
    })  # fmt: skip
    found = make_handover(store, "K01", None, TODAY)
    assert [one.fate for one in found.tried if one.change == "kept"] == ["left with its chair"]
    doc = document(found)
    assert doc["sheet"]["rows"] == [["deadband", "3"]], "no number of the old chair's scale"
    assert any("A new baseline starts on 1 May 2026" in line for line in doc["chair"])
    assert doc["kept"] == [] and found.alerts == ()
    assert "Goals: stop where I mean to." in doc["chair"], "goals are the athlete's, and carry over"
    assert all("of chair W1" in entry["head"] for entry in doc["dropped"])


def test_a_bundle_is_told_as_a_bundle_and_never_by_one_of_its_settings(store: Store) -> None:
    both = [change("b1", day(27) + timedelta(days=1), 70, 69, setting="acceleration_max", bundle="B1"),
            change("b2", day(27) + timedelta(days=1), 40, 41, setting="deceleration_max", bundle="B1")]  # fmt: skip
    record_rows(store, {
        "settings": [{"athlete": "K01", "chair": "W1", "profile": 1, "setting": name, "value": value, "on": FIRST}
                     for name, value in (("acceleration_max", 70), ("deceleration_max", 40))],
        "changes": both,
    })  # fmt: skip
    found = make_handover(store, "K01", None, TODAY)
    mine = [one for one in found.tried if one.change in ("b1", "b2")]
    assert len(mine) == 2 and mine[0].findings == mine[1].findings
    heads = [entry["head"] for entry in document(found)["kept"]]
    assert sum("one of bundle B1" in head for head in heads) == 2
    assert all(one.shown[0].rung == "noted" for one in mine)


def test_an_alert_that_stands_comes_first_and_needs_a_person(tmp_path: Path) -> None:
    path = tmp_path / "club.duckdb"
    with open_store(path) as book:
        filled(book)
        record_rows(book, {
            "practices": [{"practice": f"Q{i}", "athlete": "K01", "on": day(40 + i), "minutes": 60} for i in range(8)],
            "changes": [change("again", day(39), 50, 61)],
            "counts": [{"practice": f"Q{i}", "athlete": "K01", "profile": 1, "outcome": "collisions", "count": 14,
                        "minutes": 60} for i in range(8)],
        })  # fmt: skip
    answer = CliRunner().invoke(app, ["handover", "K01", "--store", str(path), "--out", str(tmp_path)])
    assert answer.exit_code == 1 and "Harm first: collisions rose" in answer.output
    n, text = read((tmp_path / "handover-K01-whole-record.pdf").read_bytes())
    assert n == 2 and "rampbook goback again" in text
    html = (tmp_path / "handover-K01-whole-record.html").read_text(encoding="utf-8")
    assert html.index("Harm first") < html.index("Tried and kept")


def test_what_was_typed_stays_text(pages: Handover) -> None:
    html = render_handover(pages)
    assert "<script>" not in html and "&lt;script&gt;" in html
    n, text = read(typeset("handover", document(pages)))
    assert n == 2 and "#set page(fill: red)" in text.replace("\n", " ")


def heavy(n: int, length: int) -> dict[str, Any]:
    """A document of n entries in every list, each so many characters long."""
    line = ("the touches rose and it was taken back " * 40)[:length]
    entry = {"head": f"turn speed, maximum 45 → 60, profile 2 (C04) {line[:60]}", "when": line, "found": [line] * 3,
             "beside": line, "fate": line[:80]}  # fmt: skip
    sheet = [[name.replace("_", " "), *["100 *"] * 6] for name in DEFAULT.settings]
    return {
        "title": "Handover of K01, 2025-26", "lead": line, "chair": [line[:150]] * 4, "alerts": [line] * n,
        "not_proof": line, "not_again": [line] * n, "kept": [entry] * n, "dropped": [entry] * n, "open": [line] * n,
        "sheet": {"profiles": [f"Profile {i}" for i in range(6)], "rows": sheet, "more": "2 more profiles"},
        "events": [line] * n, "people": [line[:60]] * n, "record": [line[:300]] * 2, "cautions": [line[:120]] * 4,
        "more": "rampbook review K01 says the rest", "foot": line[:150],
    }  # fmt: skip


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(("n", "length"), [(0, 10), (3, 100), (12, 250), (60, 250), (300, 500)])
def test_the_pdf_has_two_pages_however_much_there_is(n: int, length: int, paper: Paper) -> None:
    pages, text = read(typeset("handover", heavy(n, length), paper=paper))
    assert pages == 2
    # Alerts, kept and dropped lose the same, what not to do again less: it comes before all else.
    assert n < 300 or (text.count(f"And {n - 1} more") >= 3 and f"And {n - 3} more" in text)
    assert "Before anything is changed" in text and "How complete the record is" in text


def test_a_heavy_history_fits_and_names_what_it_leaves_out(tmp_path: Path) -> None:
    long = "a reason that somebody wrote down at great length, with all that was seen, said and thought; " * 4
    steps = [change(f"H{i:02d}", FIRST + timedelta(days=200 + i), 40 + i % 2, 41 - i % 2, setting="acceleration_max",
                    reason=long, planned=i % 2) for i in range(40)]  # fmt: skip
    sheet = {"athlete": "K01", "chair": "W1", "value": 40, "on": FIRST}
    with open_store(tmp_path / "club.duckdb") as book:
        filled(book)
        record_rows(book, {
            "settings": [sheet | {"profile": profile, "setting": name}
                         for profile in (2, 3, 4) for name in DEFAULT.settings]
            + [sheet | {"profile": 1, "setting": "acceleration_max"}],
            "changes": steps,
            "events": [{"athlete": "K01", "on": FIRST + timedelta(days=i), "event": "other", "note": f"{i} {long}"}
                       for i in range(60)],
        })  # fmt: skip
        found = make_handover(book, "K01", None, date(2026, 12, 1))
    n, text = read(typeset("handover", document(found)))
    assert n == 2 and len(found.tried) == 45 and len(found.events) == 61
    assert "more: rampbook review K01 says the rest" in text.replace("\n", " ")
    assert "bumped into others" in text.replace("\n", " "), "what did harm comes before all else"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    write_tables(folder / "sheets")
    with open_store(folder / "club.duckdb") as book:
        load_paths(book, [folder / "sheets"])
    return folder / "club.duckdb"


@pytest.mark.slow
@pytest.mark.parametrize("athlete", ["K01", "K03", "K07"])
def test_the_invented_club_is_handed_over_on_two_pages(demo: Path, tmp_path: Path, athlete: str) -> None:
    words = ["handover", athlete, "--season", "2025-26", "--store", str(demo), "--out", str(tmp_path), "--letter"]
    answer = CliRunner().invoke(app, words)
    assert answer.exit_code in (0, 1), answer.output
    n, text = read((tmp_path / f"handover-{athlete}-2025-26.pdf").read_bytes())
    assert n == 2 and f"Handover of {athlete}, 2025-26" in text
    html = (tmp_path / f"handover-{athlete}-2025-26.html").read_text(encoding="utf-8")
    assert "https://" not in html and "<script" not in html


def test_nothing_is_handed_on_without_consent(tmp_path: Path) -> None:
    path = tmp_path / "club.duckdb"
    with open_store(path) as book:
        filled(book)
        record_rows(book, {"athletes": [{"athlete": "K01", "consent": "none", "supersedes": "K01"}]})
    answer = CliRunner().invoke(app, ["handover", "K01", "--store", str(path), "--out", str(tmp_path / "out")])
    assert answer.exit_code == 2 and "has not agreed" in answer.output
    assert not (tmp_path / "out").exists()


def test_a_file_of_somebody_else_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "club.duckdb"
    with open_store(path) as book:
        record_rows(book, {"athletes": [{"athlete": "K01", "consent": "club"}]})
    mine = tmp_path / "handover-K01-whole-record.pdf"
    mine.write_bytes(b"mine")
    words = ["handover", "K01", "--store", str(path), "--out", str(tmp_path)]
    answer = CliRunner().invoke(app, words)
    assert answer.exit_code == 2 and "is no PDF of Rampbook's" in answer.output and mine.read_bytes() == b"mine"
    mine.unlink()
    assert CliRunner().invoke(app, words).exit_code == 0
    assert CliRunner().invoke(app, words).exit_code == 0, "a page of ours may be written again"
    assert read(mine.read_bytes())[0] == 2
