"""The season review as a page: sound, self-contained, all escaped, and no claim beyond the sentence."""

from __future__ import annotations

import re
from html import unescape
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from rampbook.evidence.finding import Warned
from rampbook.reports.render import render_review

from .make_review import HOSTILE, empty_review, make_change, make_outcome, make_review

VOID = {"meta", "img", "br", "source", "link", "input", "hr"}


class Page(HTMLParser):
    """Reads a page into what the tests ask of it, and refuses tags that do not close."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.tables: list[dict[str, int]] = []
        self.feed(html)
        assert not self.open, f"left open: {self.open}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "table":
            self.tables.append({"caption": 0, "unscoped": 0, "th": 0})
        if tag == "caption":
            self.tables[-1]["caption"] += 1
        if tag == "th":
            self.tables[-1]["th"] += 1
            self.tables[-1]["unscoped"] += "scope" not in dict(attrs)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open.pop() == tag, f"</{tag}> closes nothing"

    def named(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.tags if name == tag]


PAGES = {"full": render_review(make_review()), "empty": render_review(empty_review())}


@pytest.fixture(params=list(PAGES))
def html(request: pytest.FixtureRequest) -> str:
    return PAGES[request.param]


def test_page_names_its_language_title_and_landmarks(html: str) -> None:
    page = Page(html)
    assert page.named("html") == [{"lang": "en"}]
    for landmark in ("header", "main", "footer", "nav", "title", "h1"):
        assert len(page.named(landmark)) == 1, landmark
    assert page.named("nav")[0]["aria-label"]


def test_headings_never_skip_a_level(html: str) -> None:
    levels = [int(tag[1]) for tag, _ in Page(html).tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_every_table_has_one_caption_and_scoped_headers(html: str) -> None:
    for table in Page(html).tables:
        assert table["caption"] == 1 and table["th"] > 0 and table["unscoped"] == 0


def test_every_picture_has_words(html: str) -> None:
    assert all(image.get("alt") for image in Page(html).named("img"))


def test_full_page_shows_a_picture_for_every_finding_and_all_together() -> None:
    assert len(Page(PAGES["full"]).named("img")) == make_review().n_comparisons + 1


def test_page_fetches_nothing_and_runs_nothing(html: str) -> None:
    page = Page(html)
    assert not page.named("script") and not page.named("link") and not page.named("iframe")
    keys = ("src", "href", "srcset")
    addresses = [attrs[key] or "" for _, attrs in page.tags for key in keys if key in attrs]
    assert all(address.startswith(("#", "data:image/svg+xml;base64,")) for address in addresses)
    style = html[html.index("<style>") : html.index("</style>")]
    assert "url(" not in style and "@import" not in style
    assert not [key for _, attrs in page.tags for key in attrs if key.startswith("on")]


def test_inner_links_lead_somewhere(html: str) -> None:
    page = Page(html)
    ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
    assert len(ids) == len(set(ids))
    wanted = {(attrs["href"] or "").removeprefix("#") for attrs in page.named("a")}
    wanted |= {attrs["aria-labelledby"] or "" for _, attrs in page.tags if "aria-labelledby" in attrs}
    assert wanted <= set(ids)


def test_hostile_text_is_shown_as_text() -> None:
    html = PAGES["full"]
    assert "<script" not in html and "<b>-3.2" not in html
    assert HOSTILE in unescape(html)


def test_change_ids_with_odd_letters_stay_inside_their_attributes() -> None:
    odd = 'C" onload="x'
    page = Page(render_review(make_review(changes=(make_change(odd, make_outcome(odd)),))))
    assert not [key for _, attrs in page.tags for key in attrs if key.startswith("on")]


def test_same_input_gives_the_same_bytes() -> None:
    assert render_review(make_review()) == PAGES["full"]


def test_every_sentence_on_the_page_is_the_allowed_one() -> None:
    """Each finding's sentence stands in the list and in its own section; nothing stronger does."""
    text = unescape(PAGES["full"])
    for _, outcome in make_review().findings:
        assert text.count(outcome.finding.allowed_sentence) >= 2
    words = re.sub(r"<[^>]+>", " ", text[text.index("<main") : text.index('id="cautions"')])
    assert not re.search(
        r"\b(caused|proves?|proven|because of the change|thanks to)\b",
        words.replace("That the change caused it", ""),
    )


def test_what_was_settled_comes_first_and_harm_before_gain() -> None:
    order = [change.change for change, _ in make_review().findings]
    assert order == ["C3", "C1", "C2", "C5"]


def test_open_list_holds_what_cannot_be_told_and_what_was_never_measured() -> None:
    html = PAGES["full"]
    part = html[html.index('id="open"') : html.index('id="collisions"')]
    assert all(name in part for name in ("C2", "C5", "C6")) and "C3" not in part and "C1" not in part
    assert "About 9 more practices" in part


def test_returns_say_why() -> None:
    html = PAGES["full"]
    part = html[html.index('id="returns"') : html.index('id="open"')]
    assert "C4 went back on C3" in part and "Why: collisions" in part


def test_there_and_back_and_again_are_told_apart() -> None:
    steps = [("C1", None, 45.0, 60.0), ("C2", "C1", 60.0, 45.0), ("C3", "C2", 45.0, 60.0)]
    changes = tuple(
        make_change(
            change, *([make_outcome("C1")] if back is None else []), goes_back_to=back, old_value=old, new_value=new
        )
        for change, back, old, new in steps
    )
    html = render_review(make_review(changes=changes))
    assert "<dt>Taken back</dt><dd>26 Nov 2025 (C2)" in html and "<dt>Set again</dt><dd>26 Nov 2025 (C3)" in html


def test_traded_accuracy_is_said_with_its_touches_at_the_top() -> None:
    touched = Warned(code="touches", message="Touches an attempt: 2.1 times the old rate.")
    outcome = make_outcome("C1", verdict="traded accuracy for speed", warnings=(touched,))
    html = render_review(make_review(changes=(make_change("C1", outcome),)))
    assert touched.message in html[: html.index('id="side-by-side"', html.index("<main"))]


def test_collisions_are_given_an_hour() -> None:
    assert '<td class="n" data-name="An hour">6.7</td>' in PAGES["full"]  # 120 in 1080 minutes


def test_empty_season_says_so_in_words() -> None:
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", PAGES["empty"]))
    for said in ("No practice is recorded", "none is in the log", "No row was set aside", "not the same as"):
        assert said in text


def test_cautions_always_stand(html: str) -> None:
    text = unescape(html)
    for line in make_review().cautions:
        assert line in text
