"""Renders a page: one HTML file that needs nothing beside itself, the same bytes for the same input."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from rampbook.charts.words import effect_words, interval_words
from rampbook.evidence.finding import Finding
from rampbook.evidence.fragile_words import fragile_words
from rampbook.evidence.harm import go_back, not_proof, what_rose
from rampbook.reports import words
from rampbook.reports.pages import page_environment
from rampbook.reports.season import SeasonReview, is_open

if TYPE_CHECKING:
    from jinja2 import Environment


def render_review(review: SeasonReview) -> str:
    """Return the season review as HTML."""
    return _environment().get_template("review.html").render(review=review)


def render_card(words: Mapping[str, Any]) -> str:
    """Return the card for the chair bag as HTML; ``words`` are those of `card_words`."""
    return _environment().get_template("card.html").render(**words)


def _in_words(finding: Finding) -> str:
    """Return the estimate with its interval, or why there is none."""
    return f"{effect_words(finding)} ({interval_words(finding).rstrip('.')})"


@cache
def _environment() -> Environment:
    """Return the template environment with the words of the review and the card."""
    environment = page_environment()
    environment.filters.update(
        day=words.day,
        number=words.number,
        plural=words.plural,
        setting=words.setting_name,
        outcome=words.outcome_name,
        in_words=_in_words,
        fragile=fragile_words,
        in_numbers=words.estimate_in_numbers,
        probability=words.probability,
        svg_uri=words.svg_uri,
        what_rose=what_rose,
        go_back=go_back,
        not_proof=not_proof,
    )
    environment.globals.update(NOT_KNOWN=words.NOT_KNOWN, SHAPES=words.VERDICT_SHAPES, CLASSES=words.VERDICT_CLASSES)
    environment.tests["open_question"] = is_open
    return environment
