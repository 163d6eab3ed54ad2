"""``rampbook review``: the season-end review of one athlete or the squad, as one page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rampbook import __version__
from rampbook.cli.output import print_json, print_lines, print_notes, writing
from rampbook.domain.season import Season, parse_season, season_of
from rampbook.errors import EntryError, ReportError
from rampbook.evidence.harm import words

if TYPE_CHECKING:
    from rampbook.effect import Effect
    from rampbook.evidence.finding import Finding
    from rampbook.reports.season import Picture, SeasonReview
    from rampbook.store import Store

MARK = '<meta name="generator" content="Rampbook">'


def review(
    athlete: Annotated[str | None, typer.Argument(help="The athlete's code; leave it out for the squad.")] = None,
    season: Annotated[
        str | None,
        typer.Option(help="2025-26, or FROM..TO as days; default the season of the last practice up to today."),
    ] = None,
    out: Annotated[Path | None, typer.Option(help="The page to write; default in this folder.")] = None,
    store: Annotated[
        Path | None, typer.Option(help="The store; else RAMPBOOK_STORE, else your user data folder.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document; the page only with --out.")] = False,
) -> None:
    """Write the season-end review: what was learned, from which record, and what is still open."""
    from rampbook.store import open_store
    from rampbook.workflow import effects_in_season

    with open_store(store, create=False) as book:
        days = _season(book, athlete, season)
        path = out or Path(f"season-review-{athlete or 'squad'}-{days.name.replace('..', '-to-')}.html")
        if not json or out:
            refuse_foreign_page(path)
        effects = effects_in_season(book, athlete, days.name)
        page = make_review(book, effects, athlete=athlete, season=days, made_at=datetime.now().astimezone())
    if not json or out:
        write_page(page, path)
    if json:
        print_json(review_json(page, effects, path if out else None))
    else:
        print_lines([*_summary(page), "", f"Page: {path}"])
    if page.first_on is None:
        print_notes([_no_practice(page)])
        raise typer.Exit(1)


def make_review(
    store: Store,
    findings: Sequence[Finding],
    *,
    athlete: str | None,
    season: Season,
    made_at: datetime,
    draw: Callable[[Finding], Picture] | None = None,
) -> SeasonReview:
    """Return the review of these findings; ``draw`` gives a picture that is drawn already, else they are drawn now."""
    from rampbook.harm import alerts, watch
    from rampbook.reports.gather import gather_review
    from rampbook.reports.pictures import draw_all, draw_one

    return gather_review(
        store, findings, athlete=athlete, season=season, made_at=made_at, version=__version__,
        draw=draw or draw_one, draw_all=draw_all, alerts=alerts(watch(store, athlete, until=season.to_on)),
    )  # fmt: skip


def refuse_foreign_page(path: Path) -> None:
    """Refuse to write over a file that is not a page of Rampbook's.

    Raises
    ------
    ReportError
        When there is such a file, or the system does not let it be looked at.
    """
    with writing(path, option="--out"):
        ours = not path.exists() or (path.is_file() and MARK in path.read_text("utf-8", errors="replace")[:2000])
    if not ours:
        raise ReportError(
            f"{path} is there already and is no page of Rampbook's. Name another with --out; nothing was written."
        )


def write_page(review: SeasonReview, path: Path) -> None:
    """Write the page.

    Raises
    ------
    ReportError
        When the system does not let it be written.
    """
    from rampbook.reports.render import render_review

    page = render_review(review)
    with writing(path, option="--out"):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(page, encoding="utf-8")


def review_json(review: SeasonReview, effects: list[Effect], path: Path | None) -> dict[str, Any]:
    """Return the review as one document, numbers unrounded."""
    from dataclasses import asdict

    return {
        "athlete": review.athlete,
        "season": review.season,
        "from": review.from_on,
        "to": review.to_on,
        "first_practice": review.first_on,
        "last_practice": review.last_on,
        "version": review.version,
        "page": None if path is None else str(path),
        "alerts": [watched.to_dict() for watched in review.alerts],
        "comparisons": review.n_comparisons,
        "effects": [effect.to_dict() for effect in effects],
        "went_back": [
            {"change": back.change, "goes_back_to": back.goes_back_to, "on": back.on, "reason": back.reason}
            for back in review.returns
        ],
        "open": [{"change": change.change, "outcome": outcome.finding.outcome,
                  "practices_to_settle": outcome.finding.practices_to_settle}
                 for change, outcome in review.open_questions],
        "collisions": [asdict(row) | {"per_hour": row.per_hour} for row in review.collisions],
        "completeness": [asdict(row) for row in review.completeness],
        "set_aside": [asdict(row) for row in review.set_aside],
        "rows": dict(review.row_counts),
    }  # fmt: skip


def _season(store: Store, athlete: str | None, typed: str | None) -> Season:
    """Return the season asked for; without one, the season of the last practice up to today."""
    if athlete is not None and athlete not in (row["athlete"] for row in store.rows("known_athletes")):
        raise EntryError(
            f'There is no athlete "{athlete}" in {store.path}. Codes are as in the table athletes.',
            field="athlete",
            value=athlete,
        )
    if typed is not None:
        return parse_season(typed)
    found = store.rows("review_last_practice", athlete, date.today())[0]
    if found["last_on"] is None:
        ahead = f" up to today; {found['dated_ahead']} dated after today" if found["dated_ahead"] else ""
        raise EntryError(
            f"There is no practice to review{ahead}. Load a folder of records, or name a --season.", field="season"
        )
    return season_of(found["last_on"])


def _no_practice(review: SeasonReview) -> str:
    """Return the line that a season without any practice gets."""
    return (
        f"No practice of {review.athlete or 'the squad'} is recorded from {review.from_on} to {review.to_on}: "
        "there is nothing to review. Name another --season, or check the dates of the practices."
    )


def _summary(review: SeasonReview) -> list[str]:
    """Return what was learned, one line a finding."""
    who = review.athlete or "the squad"
    lines = [line for alert in review.alerts for line in (*words(alert), "")]
    lines.append(f"Season {review.season}, {who}: {review.n_comparisons} comparisons looked at.")
    for change, outcome in review.findings:
        finding = outcome.finding
        name = f"{change.change} {change.athlete} {change.setting}, {finding.outcome}"
        lines.append(f"  {name}: {finding.allowed_sentence}")
    return lines


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="review")(review)
