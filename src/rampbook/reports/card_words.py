"""The words of the card, the same ones in HTML and in PDF."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rampbook.domain.throw import THROW_DEFINITIONS, USUAL
from rampbook.reports.card import Card, CardValue, WayBack
from rampbook.reports.words import day, setting_name

# What fits beside a value; the whole reason stands in `settings`.
_MOST_LETTERS = 52
_LONG_VALUE = 5
# Of a page of 261 mm (the lower of the two papers, less its margins): what is left beside all that always stands there.
_ROOM_MM, _LETTERS_A_LINE = 130, 100


def card_words(cards: Sequence[Card]) -> dict[str, Any]:
    """Return everything the pages show, as plain text."""
    first = cards[0]
    where = f", {_where(first)}" if len({(card.chair, card.profile) for card in cards}) == 1 else ""
    return {"title": f"Settings card, {first.athlete}{where}, {day(first.on)}", "pages": [_page(c) for c in cards]}


def _page(card: Card) -> dict[str, Any]:
    half = (len(card.values) + 1) // 2
    values = [_value(value) for value in card.values]
    latest = None if card.way_back is None else _latest(card.way_back)
    return {
        "crowded": _is_crowded(values[:half], _scale(card), latest),
        "athlete": card.athlete,
        "where": _where(card),
        "on": day(card.on),
        "part": "" if card.n_parts == 1 else f"page {card.part} of {card.n_parts}",
        "columns": [values[:half], values[half:]],
        "latest": latest,
        "scale": _scale(card),
        "cautions": list(card.cautions),
    }


def _is_crowded(column: Sequence[dict[str, Any]], scale: list[str], latest: dict[str, Any] | None) -> bool:
    """Whether a page of HTML needs its smaller sizes: a browser, unlike the typesetter, cannot try and look."""
    rows_mm = sum(11.6 if row["why"] else 8.9 for row in column)
    words = [*scale, *([] if latest is None else [latest["why"], *latest["steps"], *latest["cautions"]])]
    return rows_mm + 4.7 * sum(map(len, words)) / _LETTERS_A_LINE > _ROOM_MM


def _where(card: Card) -> str:
    return f"profile {card.profile}" + (f", chair {card.chair}" if card.chair else "")


def figure(value: float) -> str:
    """Return a value as it is typed into the chair: never rounded."""
    return f"{value:.12g}"


def _value(value: CardValue) -> dict[str, Any]:
    shown = figure(value.value)
    return {
        "name": setting_name(value.setting),
        "value": shown,
        "unit": value.unit,
        "long": len(shown) > _LONG_VALUE,
        "set": _set(value),
        "why": _short(_why(value)),
    }


def _set(value: CardValue) -> str:
    """Return since when a value stands, by which change and whom."""
    if value.change is None:
        return f"read from the chair {day(value.since)}"
    return f"{day(value.since)}, {value.change}, {value.role or 'role not noted'}"


def _why(value: CardValue) -> str:
    """Return the value before and the reason, and that it was read again since."""
    before = "" if value.old_value is None else f"was {figure(value.old_value)}"
    again = ""
    if value.checked_on is not None and value.checked_on > value.since:
        again = f"read again {day(value.checked_on)}"
    if value.change is None:
        return "; ".join(part for part in (f"{before}, no change logged" if before else "", again) if part)
    return "; ".join(part for part in (before, _reason(value), again) if part)


def _reason(value: CardValue) -> str:
    how = {1: "planned", 0: "a reaction", None: ""}[value.planned]
    return "; ".join(part for part in (value.reason, how) if part) or "why not noted"


def _short(text: str, most: int = _MOST_LETTERS) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def _latest(way_back: WayBack) -> dict[str, Any]:
    value = way_back.value
    old = figure(value.old_value or 0)
    return {
        "name": setting_name(value.setting),
        "old": old,
        "new": figure(value.value),
        "unit": value.unit,
        "head": f"{value.change}, {day(value.since)}, {value.role or 'role not noted'}{_together(way_back)}",
        "why": _short(_reason(value), 200),
        "steps": [f"{setting_name(setting)} to {figure(to)}" for setting, to in way_back.steps],
        "command": f"rampbook goback {value.bundle or value.change}",
        "last": "all of it with" if value.bundle else "what was done; the last step with",
        "cautions": [*_left_before(value), *way_back.cautions],
    }


def _left_before(value: CardValue) -> list[str]:
    """Return that the old value was itself tried and left, when the latest change was a return from it."""
    if value.goes_back_to is None:
        return []
    return [
        f"{value.change} was itself the way back from {value.goes_back_to}: "
        f"{figure(value.old_value or 0)} was tried and left. Read why before it is set again."
    ]


def _together(way_back: WayBack) -> str:
    """Return what else was changed in the same go; nothing for a change made alone."""
    value = way_back.value
    others = [
        f"{setting_name(other.setting)} {figure(other.old_value or 0)} → {figure(other.value)}"
        for other in way_back.together
        if other is not value
    ]
    if value.bundle is None:
        return ""
    return f"; in one go as bundle {value.bundle}" + (f" with {', '.join(others)}" if others else "")


def _scale(card: Card) -> list[str]:
    """Return what the numbers mean; what the record does not say is said to be missing."""
    if card.scale:
        meaning = f", {_short(card.scale_definition, 220)}" if card.scale_definition else ""
        lines = [f"Scale: {card.scale}{meaning}."]
    else:
        lines = ["Scale: not written down for this chair. Its numbers mean something on this chair only."]
    throw = THROW_DEFINITIONS.get(card.throw_definition or "")
    if any(value.setting.startswith("throw_") for value in card.values):
        assumed = "" if throw else " (taken as usual; the record does not say)"
        lines.append(f"Throw: {(throw or USUAL).words}{assumed}.")
    return [*lines, "Never copy a number to another chair."]
