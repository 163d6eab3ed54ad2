"""``rampbook card``."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pypdf
import pytest

from rampbook.domain.cautions import ALWAYS, LONGER_STOP, RAISED
from rampbook.reports.card import MOST_VALUES, gather_cards
from rampbook.store import open_store

from .conftest import Club


def test_a_card_is_written_as_html_and_pdf(club: Club, tmp_path: Path) -> None:
    club.change("throw_left", "50", "--planned", "--id", "CH1")
    shown = club.run("card", "A01", "--profile", "1", "--on", "2026-02-15", "--out", str(tmp_path / "bag"))
    files = sorted((tmp_path / "bag").iterdir())
    assert [file.name for file in files] == ["card-A01-profile-1-2026-02-15.html", "card-A01-profile-1-2026-02-15.pdf"]
    assert "Card of A01 as it stood on 2026-02-15: 1 page\n" in shown and "profile 1, chair C1: 5 values" in shown
    assert all(str(file) in shown for file in files) and all(line in shown for line in ALWAYS)
    html, pdf = files[0].read_text(encoding="utf-8"), pypdf.PdfReader(files[1])
    text = " ".join(pdf.pages[0].extract_text().split())
    for said in ("10 Feb 2026, CH1, coach", "was 60; a try; planned", "rampbook goback CH1", "throw left to 60"):
        assert said in html and said in text
    for line in ALWAYS:
        assert line in text


def test_the_answer_for_programs_names_files_values_and_the_way_back(club: Club, tmp_path: Path) -> None:
    club.change("deceleration_max", "50", "--from", "40", "--id", "CH0", exit_code=2)
    club.run("sheet", "A01", "--chair", "C1", "--profile", "1", "--on", "2026-01-10", "deceleration_max=40")
    club.change("deceleration_max", "50", "--id", "CH1")
    answer = club.json("card", "A01", "--on", "2026-02-15", "--paper", "letter", "--out", str(tmp_path))
    assert (answer["athlete"], answer["on"], answer["paper"]) == ("A01", "2026-02-15", "letter")
    assert Path(answer["pdf"]).read_bytes().startswith(b"%PDF") and Path(answer["html"]).is_file()
    (page,) = answer["pages"]
    assert (page["chair"], page["profile"], len(page["rows"])) == ("C1", 1, 6)
    assert page["way_back"]["steps"] == [{"setting": "deceleration_max", "value": 40.0}]
    assert page["way_back"]["change"] == "CH1" and LONGER_STOP in page["way_back"]["cautions"]


def test_a_way_back_that_raises_speed_says_so(club: Club, tmp_path: Path) -> None:
    club.change("forward_speed_max", "70", "--id", "CH1")
    (page,) = club.json("card", "A01", "--on", "2026-02-15", "--out", str(tmp_path))["pages"]
    assert RAISED in page["way_back"]["cautions"]


def test_the_way_back_is_an_order_of_steps_where_a_rule_stands_in_it(club: Club, tmp_path: Path) -> None:
    club.change("forward_speed_max", "90", "--id", "CH1")
    # A later reading of the chair, with reverse above the old forward value.
    found = ("reverse_speed_max=85",)
    club.run("sheet", "A01", "--chair", "C1", "--profile", "1", "--on", "2026-02-12", *found, exit_code=1)
    (page,) = club.json("card", "A01", "--on", "2026-02-15", "--out", str(tmp_path))["pages"]
    assert page["way_back"]["steps"] == [
        {"setting": "reverse_speed_max", "value": 80.0},
        {"setting": "forward_speed_max", "value": 80.0},
    ]


def test_a_bundle_goes_back_together(club: Club, tmp_path: Path) -> None:
    club.run(
        "bundle", "A01", "throw_left=50", "deadband=12", "--profile", "1", "--on", "2026-02-10",
        "--why", "new armrest", "--role", "therapist", "--id", "B1",
    )  # fmt: skip
    answer = club.json("card", "A01", "--on", "2026-02-15", "--out", str(tmp_path))
    back = answer["pages"][0]["way_back"]
    assert back["bundle"] == "B1"
    steps = sorted((step["setting"], step["value"]) for step in back["steps"])
    assert steps == [("deadband", 10.0), ("throw_left", 60.0)]
    text = " ".join(pypdf.PdfReader(answer["pdf"]).pages[0].extract_text().split())
    assert "in one go as bundle B1 with" in text and "rampbook goback B1" in text
    assert "one of bundle B1" in club.run("settings", "A01", "--on", "2026-02-15")


def test_the_latest_change_is_the_latest_that_stands_that_day(club: Club, tmp_path: Path) -> None:
    club.change("throw_left", "50", "--id", "CH1", on="2026-02-03")
    club.change("deadband", "12", "--id", "CH2", on="2026-02-10")
    club.change("throw_left", "45", "--id", "CH3", on="2026-02-20")

    def latest(day: str) -> str | None:
        (page,) = club.json("card", "A01", "--on", day, "--out", str(tmp_path))["pages"]
        return None if page["way_back"] is None else str(page["way_back"]["change"])

    assert [latest(day) for day in ("2026-02-02", "2026-02-09", "2026-02-19", "2026-03-01")] == [
        None,
        "CH1",
        "CH2",
        "CH3",
    ]


def test_each_profile_and_chair_gets_a_page(club: Club, tmp_path: Path) -> None:
    for n in range(2, 6):
        club.run("sheet", "A01", "--chair", "C1", "--profile", str(n), "--on", "2026-01-10", "deadband=9")
    club.run("sheet", "A01", "--chair", "C2", "--profile", "1", "--on", "2026-01-10", "deadband=9")
    answer = club.json("card", "A01", "--on", "2026-02-15", "--out", str(tmp_path))
    assert [(p["chair"], p["profile"]) for p in answer["pages"]] == [*(("C1", n) for n in range(1, 6)), ("C2", 1)]
    assert len(pypdf.PdfReader(answer["pdf"]).pages) == 6
    answer = club.json("card", "A01", "--chair", "C2", "--on", "2026-02-15", "--out", str(tmp_path))
    assert [(p["chair"], p["profile"]) for p in answer["pages"]] == [("C2", 1)]
    assert answer["pdf"].endswith("card-A01-C2-2026-02-15.pdf")


def test_more_values_than_a_page_can_show_go_on_a_next_page(club: Club) -> None:
    with open_store(club.path) as store:
        for i in range(MOST_VALUES):
            store.connection.execute(
                "insert into settings (entry, athlete, chair, profile, setting, value, \"on\") "
                "values (?, 'A01', 'C1', 1, ?, 5, '2026-01-10')",
                [f"x{i}", f"club_{i:02}"],
            )
        cards = gather_cards(store, "A01", date(2026, 2, 1))
    assert [(len(card.values), card.part, card.n_parts) for card in cards] == [(MOST_VALUES, 1, 2), (5, 2, 2)]
    assert cards[0].values[0].setting == "forward_speed_max"
    assert cards[1].values[-1].setting == f"club_{MOST_VALUES - 1:02}"


def test_a_card_without_values_or_over_a_foreign_file_is_not_written(club: Club, tmp_path: Path) -> None:
    out = tmp_path / "bag"
    message = club.run("card", "A01", "--on", "2026-01-09", "--out", str(out), exit_code=2)
    assert "Nothing is on the sheet of A01 for 2026-01-09" in message and "rampbook sheet A01 --profile" in message
    assert not out.exists()
    out.mkdir()
    (out / "card-A01-2026-02-15.pdf").write_bytes(b"%PDF-1.7 a letter of somebody else")
    message = club.run("card", "A01", "--on", "2026-02-15", "--out", str(out), exit_code=2)
    assert "is there already and is no card of Rampbook's" in message
    assert [file.name for file in out.iterdir()] == ["card-A01-2026-02-15.pdf"]
    (out / "card-A01-2026-02-15.pdf").unlink()
    for _ in range(2):
        club.run("card", "A01", "--on", "2026-02-15", "--out", str(out))


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("B07",), 'no athlete "B07"'),
        (("A01", "--paper", "a0"), "--paper"),
        (("A01", "--on", "2026-02"), "write a day that exists as YYYY-MM-DD"),
        (("A01", "--profile", "two"), 'must be a whole number'),
    ],
)
def test_what_cannot_be_used_is_refused(club: Club, tmp_path: Path, args: tuple[str, ...], said: str) -> None:
    assert said in club.run("card", *args, "--out", str(tmp_path / "bag"), exit_code=2)
    assert not (tmp_path / "bag").exists()
