"""The card for the chair bag: one page a profile, large, complete, escaped, readable aloud, needing nothing else."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import pypdf
import pytest

from rampbook.domain.cautions import ALWAYS
from rampbook.errors import ReportError
from rampbook.reports.card import MOST_VALUES, Card
from rampbook.reports.card_words import card_words
from rampbook.reports.render import render_card
from rampbook.reports.typeset import PAPERS, Paper, typeset
from rampbook.reports.words import setting_name

from .make_card import HOSTILE, hostile_card, make_card
from .test_review_page import Page

# Points: what the card promises for values, at about 70 cm. A digit of 18 pt is some 4.6 mm high (0.73 of its size),
# which from there is 22 minutes of arc.
ARMS_LENGTH_PT = 18


def pdf_of(*cards: Card, paper: Paper = "a4") -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(typeset("card", card_words(cards), paper=paper)))


def text_of(reader: pypdf.PdfReader) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def plain(html: str) -> str:
    """Return what a page says, without its tags."""
    return " ".join(unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", html, flags=re.DOTALL)).split())


def small_card() -> Card:
    full = make_card()
    return replace(full, values=full.values[:3], way_back=None, scale=None, throw_definition=None)


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("n_values", [1, 15, 19, 20, 27, MOST_VALUES])
def test_a_profile_is_one_page_of_pdf_however_full(paper: Paper, n_values: int) -> None:
    reader = pdf_of(make_card(n_values), paper=paper)
    assert len(reader.pages) == 1
    assert "Initials of a second person" in text_of(reader)


@pytest.mark.parametrize("n_values", [15, 19, MOST_VALUES])
def test_the_name_of_a_setting_is_never_cut_in_two(n_values: int) -> None:
    card = make_card(n_values)
    wide = replace(card, values=tuple(replace(value, value=100.25, unit="%") for value in card.values))
    lines = " / ".join(pdf_of(wide).pages[0].extract_text().splitlines())
    for value in wide.values:
        assert setting_name(value.setting) in lines, value.setting


def test_five_profiles_are_five_pages_each_with_everything(tmp_path: Path) -> None:
    reader = pdf_of(*(make_card(profile=n) for n in range(1, 6)))
    assert len(reader.pages) == 5
    for n, page in enumerate(reader.pages, start=1):
        text = " ".join(page.extract_text().split())
        assert f"K01, profile {n}, chair W01" in text
        for part in (*ALWAYS, "Latest change, and the way back", "rampbook goback CH1", "Verified on the chair"):
            assert part in text, part


@pytest.mark.parametrize(("paper", "size"), [("a4", (595.28, 841.89)), ("letter", (612.0, 792.0))])
def test_the_pdf_is_of_the_paper_that_was_asked_for(paper: Paper, size: tuple[float, float]) -> None:
    box = pdf_of(make_card(), paper=paper).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.01)


def test_the_pdf_is_tagged_titled_and_in_one_language() -> None:
    reader = pdf_of(make_card())
    assert reader.metadata is not None
    assert reader.metadata.title == "Settings card, K01, profile 2, chair W01, 30 Nov 2025"
    root: Any = reader.trailer["/Root"]
    assert bool(root["/MarkInfo"]["/Marked"]) and "/StructTreeRoot" in root
    assert root["/Lang"] == "en"
    assert bool(root["/ViewerPreferences"]["/DisplayDocTitle"])
    # It declares itself made to be read aloud (PDF/UA, part 1).
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()


def test_the_pdf_carries_its_fonts_and_reaches_for_nothing() -> None:
    reader = pdf_of(make_card())
    raw = typeset("card", card_words([make_card()]))
    assert not re.search(rb"/(URI|Launch|JavaScript|JS|GoToR|EmbeddedFile)\b", raw)
    resources: Any = reader.pages[0]["/Resources"]
    fonts = {str(reference.get_object()["/BaseFont"]) for reference in resources["/Font"].values()}
    assert fonts and all("+" in name for name in fonts), "a subset of each font is inside"


def test_values_are_legible_at_arms_length() -> None:
    for n_values in (15, 19, MOST_VALUES):
        sizes: dict[str, set[float]] = {}

        def note(text: str, _cm: object, _tm: list[float], _font: object, size: float, found: object = sizes) -> None:
            assert isinstance(found, dict)
            found.setdefault(text.strip(), set()).add(round(abs(_tm[3]) * size, 1))

        card = make_card(n_values)
        pdf_of(card).pages[0].extract_text(visitor_text=note)
        for value in card.values:
            shown = f"{value.value:g}"
            seen = [size for text, found in sizes.items() for size in found if text == shown]
            # The same number may also stand in the small print below.
            assert seen and max(seen) >= ARMS_LENGTH_PT, shown
    css = render_card(card_words([make_card()]))
    found = [float(pt) for pt in re.findall(r"\.value \{ font-size: (\d+)pt", css)]
    assert len(found) == 2 and min(found) >= ARMS_LENGTH_PT


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_each_value_stands_with_since_when_by_whom_and_what_it_was(kind: str) -> None:
    card = make_card()
    words = card_words([card])
    text = plain(render_card(words)) if kind == "html" else text_of(pdf_of(card))
    for i, value in enumerate(card.values, start=1):
        assert setting_name(value.setting) in text
        assert f"6 Oct 2025, CH{i}, technician" in text
        assert f"was {value.value + 1:g}; reason {i}," in text
    for part in (
        "as it stood on 30 Nov 2025",
        "Scale: club_scale_a, the number that this chair shows",
        "Throw: how far the joystick must go before the command is full",
        "reverse speed, minimum to 20; then reverse speed, maximum to 30; then forward speed, maximum to 32.5",
        "This raises how fast or how sharply the chair moves",
        "Never copy a number to another chair.",
    ):
        assert part in text, part


def test_a_value_that_was_tried_and_left_is_not_offered_without_saying_so() -> None:
    card = make_card()
    assert card.way_back is not None
    said = "CH1 was itself the way back from CH0: 32.5 was tried and left. Read why before it is set again."
    returned = replace(card.way_back, value=replace(card.way_back.value, goes_back_to="CH0"))
    for text in (
        plain(render_card(card_words([replace(card, way_back=returned)]))),
        text_of(pdf_of(replace(card, way_back=returned))),
    ):
        assert said in text
    assert "tried and left" not in plain(render_card(card_words([card])))


def test_a_bundle_is_logged_back_as_a_whole() -> None:
    card = make_card()
    assert card.way_back is not None
    whole = replace(card.way_back, value=replace(card.way_back.value, bundle="B1"))
    assert "Then log all of it with rampbook goback B1" in plain(
        render_card(card_words([replace(card, way_back=whole)]))
    )
    assert "the last step with rampbook goback CH1" in plain(render_card(card_words([card])))


def test_what_is_not_known_is_said_to_be_missing() -> None:
    card = replace(make_card(), way_back=None, scale=None, throw_definition=None)
    for text in (plain(render_card(card_words([card]))), text_of(pdf_of(card))):
        assert "Scale: not written down for this chair. Its numbers mean something on this chair only." in text
        assert "(taken as usual; the record does not say)" in text
        assert "No change is in force here: these are the values that were read from the chair." in text


def test_text_from_the_record_is_never_markup() -> None:
    card = hostile_card()
    html = render_card(card_words([card]))
    Page(html)
    assert "<script" not in html
    assert HOSTILE in plain(html)
    text = text_of(pdf_of(card))
    assert "<script>alert(1)</script> & #set page(fill: red) $x$" in text
    assert "No order of single steps gets back" in text


@pytest.mark.parametrize("make", [make_card, hostile_card, small_card])
def test_the_html_is_sound_and_needs_nothing_beside_itself(make: object) -> None:
    assert callable(make)
    html = render_card(card_words([make()]))
    page = Page(html)
    assert page.named("html") == [{"lang": "en"}]
    assert html.count("<title>Settings card, K01, profile 2, chair W01, 30 Nov 2025</title>") == 1
    assert not re.search(r"(src|href|srcset)\s*=|url\(|@import|<script|<link", html)
    assert [len(page.named(tag)) for tag in ("h1", "main", "article")] == [1, 1, 1]
    for table in page.tables:
        assert table["caption"] == 1 and table["th"] > 0 and table["unscoped"] == 0


def test_the_same_record_gives_the_same_bytes() -> None:
    words = card_words([make_card()])
    assert typeset("card", words) == typeset("card", words)
    assert render_card(words) == render_card(words)


def test_ink_and_lines_have_contrast_enough() -> None:
    """WCAG 2.2: 4.5 to 1 for text, 3 to 1 for lines that mean something (relative luminance as defined there)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    css = render_card(card_words([make_card()]))
    for colour in set(re.findall(r"#[0-9a-f]{6}", css)):
        ratio = 1.05 / (luminance(colour) + 0.05)
        assert ratio >= 4.5, colour


def test_a_page_that_cannot_be_set_is_an_error_that_says_so() -> None:
    with pytest.raises(ReportError, match=r"could not be set as PDF .*Nothing was written"):
        typeset("card", {"title": "no pages"})


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("chromium") is None, reason="no browser here to print with")
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_browser_prints_each_profile_on_one_page(tmp_path: Path, paper: str) -> None:
    cards = [make_card(n) for n in (15, 19, 20, MOST_VALUES)] + [hostile_card()]
    html = render_card(card_words(cards)).replace("@page {", f"@page {{ size: {paper};")
    (tmp_path / "card.html").write_text(html, encoding="utf-8")
    browser = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"]
    subprocess.run(
        [*browser, f"--user-data-dir={tmp_path / 'profile'}", "--print-to-pdf=card.pdf", "card.html"],
        cwd=tmp_path, check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    assert len(pypdf.PdfReader(tmp_path / "card.pdf").pages) == len(cards)
