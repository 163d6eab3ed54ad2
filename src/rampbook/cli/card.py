"""``rampbook card``: the settings as a printed page for the chair bag, one page a profile."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rampbook.cli.inputs import day, future_warning, maybe_whole
from rampbook.cli.output import print_json, print_lines, print_notes, section, writing
from rampbook.cli.sheets import refuse_unknown_athlete, sheet_command
from rampbook.domain.cautions import cautions
from rampbook.domain.words import one_of
from rampbook.errors import EntryError, ReportError
from rampbook.store import open_store

if TYPE_CHECKING:
    from rampbook.reports.card import Card
    from rampbook.reports.typeset import Paper

PAPERS: dict[Paper, str] = {"a4": "210 × 297 mm", "letter": "8.5 × 11 in"}


def card(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    profile: Annotated[
        str | None, typer.Option(help="Number of the drive profile; a page for each when left out.")
    ] = None,
    on: Annotated[str | None, typer.Option(help="Day, YYYY-MM-DD; today when left out.")] = None,
    chair: Annotated[
        str | None, typer.Option(help="Code of the chair; a page for each when left out.")
    ] = None,
    paper: Annotated[str, typer.Option(help="Paper of the PDF, a4 or letter; the HTML page fits both.")] = "a4",
    out: Annotated[Path, typer.Option(help="The folder to write into.")] = Path(),
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document beside the pages.")] = False,
) -> None:
    """Write the settings as a card for the chair bag: HTML and PDF, one page a profile, in large type.

    Each value stands with since when, by which change, role and reason, and a box to tick when it is seen on
    the chair. Below stand the latest change with its old value and the way back, the cautions, and room for
    the initials of who verified it.
    """
    from rampbook.reports.card import gather_cards

    asked_on, driven = day(on, saving=False), maybe_whole(profile, field="--profile", saving=False)
    size: Any = one_of(paper.lower(), PAPERS, field="--paper")
    with open_store(store, create=False) as opened:
        refuse_unknown_athlete(opened, athlete)
        cards = gather_cards(opened, athlete, asked_on, profile=driven, chair=chair)
        command = sheet_command(opened, athlete, chair=chair, profile=driven)
    if not cards:
        raise EntryError(
            f"Nothing is on the sheet of {athlete} for {asked_on}, so there is no card to write. "
            f"Log it with: {command} SETTING=VALUE ...",
            field="--on",
        )
    paths = _write(cards, out, _file_name(athlete, chair, driven, asked_on), size)
    print_notes(future_warning(asked_on))
    if json:
        print_json(_document(cards, paths, size))
    else:
        print_lines(_lines(cards, paths))


def _file_name(athlete: str, chair: str | None, profile: int | None, on: date) -> str:
    """Return the name of the files; a code may hold signs that a file name may not."""
    parts = ["card", athlete, chair, None if profile is None else f"profile-{profile}", on.isoformat()]
    return "-".join(re.sub(r"[^\w.-]", "_", part) for part in parts if part)


def _write(cards: list[Card], folder: Path, name: str, paper: Paper) -> dict[str, Path]:
    """Write both files and return where they are; neither is written when one cannot be."""
    from rampbook.reports.card_words import card_words
    from rampbook.reports.render import render_card
    from rampbook.reports.typeset import typeset

    words = card_words(cards)
    pages = {"html": render_card(words).encode(), "pdf": typeset("card", words, paper=paper)}
    paths = {kind: folder / f"{name}.{kind}" for kind in pages}
    with writing(folder, option="--out"):
        for path in paths.values():
            _refuse_foreign(path)
        folder.mkdir(parents=True, exist_ok=True)
    for kind, path in paths.items():
        with writing(path, option="--out"):
            path.write_bytes(pages[kind])
    return paths


def _refuse_foreign(path: Path) -> None:
    """Refuse to write over a file that Rampbook did not make."""
    if path.exists() and not (path.is_file() and b"Rampbook" in path.read_bytes()):
        raise ReportError(
            f"{path} is there already and is no card of Rampbook's. Name another folder with --out; "
            "nothing was written."
        )


def _lines(cards: list[Card], paths: Mapping[str, Path]) -> list[str]:
    named = [_name(card) for card in cards]
    lines = [
        f"Card of {cards[0].athlete} as it stood on {cards[0].on}: {len(cards)} page{'s' * (len(cards) != 1)}",
        *(f"  {name}: {len(card.values)} values" for name, card in zip(named, cards, strict=True)),
        "",
        *(f"{kind.upper()}: {path}" for kind, path in paths.items()),
        "",
        "A card shows the record. Read every value from the chair, tick it, and sign the card.",
    ]
    return [*lines, *section("Before anything is changed:", cautions())]


def _name(card: Card) -> str:
    part = "" if card.n_parts == 1 else f", page {card.part} of {card.n_parts}"
    return f"profile {card.profile}" + (f", chair {card.chair}" if card.chair else "") + part


def _document(cards: list[Card], paths: Mapping[str, Path], paper: Paper) -> dict[str, Any]:
    """Return what was written as one document."""
    return {
        "athlete": cards[0].athlete,
        "on": cards[0].on,
        "paper": paper,
        "html": str(paths["html"]),
        "pdf": str(paths["pdf"]),
        "pages": [
            {
                "chair": card.chair,
                "profile": card.profile,
                "scale": card.scale,
                "rows": [
                    {
                        "setting": value.setting,
                        "value": value.value,
                        "since": value.since,
                        "change": value.change,
                        "old_value": value.old_value,
                    }
                    for value in card.values
                ],
                "way_back": None
                if card.way_back is None
                else {
                    "change": card.way_back.value.change,
                    "bundle": card.way_back.value.bundle,
                    "steps": [{"setting": name, "value": to} for name, to in card.way_back.steps],
                    "cautions": list(card.way_back.cautions),
                },
            }
            for card in cards
        ],
        "cautions": cautions(),
    }


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="card")(card)
