"""``rampbook handover``: two pages for a new coach or technician, as HTML and PDF."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rampbook import __version__
from rampbook.cli.move import practised_profile
from rampbook.cli.output import print_json, print_lines, writing
from rampbook.cli.review import refuse_foreign_page
from rampbook.cli.sheets import refuse_unknown_athlete
from rampbook.domain.season import parse_season
from rampbook.errors import EntryError, ReportError

if TYPE_CHECKING:
    from rampbook.reports.handover import Handover
    from rampbook.reports.typeset import Paper
    from rampbook.store import Store


def handover(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    season: Annotated[
        str | None, typer.Option(help="2025-26, or FROM..TO as days; the whole record when left out.")
    ] = None,
    out: Annotated[Path, typer.Option(help="Folder for the two files.")] = Path("."),
    letter: Annotated[bool, typer.Option("--letter", help="PDF on Letter paper instead of A4.")] = False,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Write the handover for a new coach or technician: two pages, as HTML and PDF.

    What was tried, kept and dropped, and why, with the strongest sentence that each record allows; open questions;
    what not to do again; the sheet as it stands. Codes and roles only.
    """
    from rampbook.reports.handover_words import document, render_handover
    from rampbook.reports.typeset import typeset
    from rampbook.store import open_store

    with open_store(store, create=False) as opened:
        refuse_unknown_athlete(opened, athlete)
        _refuse_without_consent(opened, athlete)
        pages = make_handover(opened, athlete, season, date.today())
    paper: Paper = "letter" if letter else "a4"
    name = f"handover-{athlete}-{pages.season.replace(' ', '-').replace('..', '-to-')}"
    html, pdf = out / f"{name}.html", out / f"{name}.pdf"
    refuse_foreign_page(html)
    _refuse_foreign_pdf(pdf)
    text, typed = render_handover(pages), typeset("handover", document(pages), paper=paper)
    with writing(out, option="--out"):
        out.mkdir(parents=True, exist_ok=True)
        html.write_text(text, encoding="utf-8")
        pdf.write_bytes(typed)
    if json:
        print_json(_as_dict(pages) | {"html": str(html), "pdf": str(pdf)})
    else:
        print_lines([*_summary(pages), "", f"Page: {html}", f"PDF: {pdf}"])
    if pages.alerts:
        raise typer.Exit(1)


def make_handover(store: Store, athlete: str, season: str | None, on: date) -> Handover:
    """Return the handover of an athlete as the record stands; ``on`` is the day that the pages bear."""
    from rampbook.harm import alerts, watch
    from rampbook.reports.handover import EVER, day_before, gather_handover, returns_of
    from rampbook.workflow import effects_in_season

    asked = None if season is None else parse_season(season)
    past = {
        root: alerts(watch(store, athlete, change=root, until=day_before(back["on"])))
        for root, back in returns_of(store, athlete)
    }
    return gather_handover(
        store, athlete, effects_in_season(store, athlete, season, every_outcome=True),
        season="whole record" if asked is None else asked.name,
        days=EVER if asked is None else (asked.from_on, asked.to_on),
        profile=practised_profile(store, athlete, on), made_on=on, version=__version__,
        alerts=alerts(watch(store, athlete)), past_alerts=past,
    )  # fmt: skip


def _refuse_without_consent(store: Store, athlete: str) -> None:
    """Refuse to hand on the record of somebody who has not agreed, or not any more."""
    stated = next(iter(store.rows("athlete", athlete)), None)
    if stated is None or stated["consent"] in (None, "none"):
        raise EntryError(
            f"{athlete} has not agreed that the record is kept and read in the club, so it is not handed on. Ask, and "
            f"log the answer: rampbook athlete {athlete} --consent club. Nothing was written.",
            field="consent",
        )


def _refuse_foreign_pdf(path: Path) -> None:
    with writing(path, option="--out"):
        ours = not path.exists() or (path.is_file() and b"Rampbook" in path.read_bytes())
    if not ours:
        raise ReportError(
            f"{path} is there already and is no PDF of Rampbook's. Name another folder with --out; nothing was written."
        )


def _summary(pages: Handover) -> list[str]:
    """Return what the pages hold, in a few lines."""
    from rampbook.evidence.harm import words

    lines = [line for alert in pages.alerts for line in words(alert)]
    return [
        *lines,
        f"Handover of {pages.athlete}, {pages.season}: {len(pages.tried)} tried, {len(pages.kept)} kept, "
        f"{len(pages.dropped)} dropped, {len(pages.open_questions)} still open, "
        f"{len(pages.not_again)} not to do again.",
    ]


def _as_dict(pages: Handover) -> dict[str, Any]:
    from rampbook.reports.handover_words import document

    tried = [
        {"change": one.change, "fate": one.fate, "open": one.is_open, "not_again": one.is_not_again,
         "found": [{"outcome": found.outcome, "verdict": found.verdict, "rung": found.rung,
                    "allowed_sentence": found.allowed_sentence} for found in one.findings]}
        for one in pages.tried
    ]  # fmt: skip
    return {"athlete": pages.athlete, "season": pages.season, "made_on": pages.made_on, "tried": tried,
            "document": document(pages)}  # fmt: skip


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="handover")(handover)
