"""``rampbook settings``: what stood on a day or in a month, what differs, every change, and what may be set."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.apart import answer_apart
from rampbook.cli.book import changes_of, history_lines, month_lines, sheet_lines, values_lines
from rampbook.cli.inputs import future_warning, maybe_whole
from rampbook.cli.output import print_json, print_lines, print_notes
from rampbook.cli.sheets import refuse_unknown_athlete, sheet_command
from rampbook.cli.standing import shown, stood_rows
from rampbook.cli.stretch import Stretch, stretch
from rampbook.cli.two_sheets import Asked
from rampbook.cli.wish import answer_wishes
from rampbook.domain.cautions import cautions
from rampbook.errors import EntryError
from rampbook.store import Store, open_store
from rampbook.store.catalogue import read_catalogue


def settings(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    on: Annotated[
        str | None,
        typer.Option(metavar="DAY|MONTH", help="Day, YYYY-MM-DD, or month, YYYY-MM; today when left out."),
    ] = None,
    profile: Annotated[
        str | None, typer.Option(help="Number of the drive profile; all when left out.")
    ] = None,
    chair: Annotated[str | None, typer.Option(help="Code of the chair; all when left out.")] = None,
    setting: Annotated[str | None, typer.Option(help="Name of one setting; all when left out.")] = None,
    against: Annotated[
        list[str] | None,
        typer.Option(metavar="DAY|profile=N|chair=CODE", help="Show what differs from this other sheet."),
    ] = None,
    all: Annotated[bool, typer.Option("--all", help="With --against, list the equal values too.")] = False,
    can: Annotated[
        list[str] | None,
        typer.Option(metavar="SETTING=VALUE", help="Ask whether a setting may take a value; may be repeated."),
    ] = None,
    history: Annotated[
        bool,
        typer.Option(
            "--history",
            help="List every change with its id, oldest first, of any day. With --setting, every value "
            "that it ever had.",
        ),
    ] = False,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Show the settings of an athlete as they stood on a day.

    Each value says since when it stands, which change set it, who made that change and why.

    What was it in October? --on 2025-10 lists every value that stood at some time in that month.
    Every value that one setting ever had: --history --setting turn_speed_max.
    With --history alone it lists every change, each with its id, as it stands after corrections.

    What differs? --against 2025-10-01 compares with the same sheet on that day; --against profile=2 with
    another profile; --against chair=W02 with another chair. It may be given more than once.
    Numbers of two chairs are compared only where both are on one scale.

    With --can it says whether a setting may take a value and, if not, what blocks it and the shortest order of
    steps that frees it, which of those steps change the chair at the dial practised at, and the way back.
    Nothing is changed.
    """
    asked = Asked(
        athlete=athlete,
        when=stretch(on),
        profile=maybe_whole(profile, field="--profile", saving=False),
        chair=chair,
        setting=setting,
    )
    _refuse_two_questions(asked, history=history, can=can, against=against or [], all=all)
    with open_store(store, create=False) as opened:
        refuse_unknown_athlete(opened, athlete)
        if setting is not None:
            read_catalogue(opened.connection).find(setting)
        if can:
            lines, document = _answer_wish(opened, asked, can)
        elif against:
            lines, document = answer_apart(opened, asked, against, list_all=all)
        elif history:
            lines, document = _answer_history(opened, asked)
        else:
            lines, document = _answer_sheet(opened, asked)
    if not history or json:
        print_notes(future_warning(asked.when.first))
    if json:
        print_json(document)
    else:
        print_lines(lines)
    if document.get("compared") is False:
        raise typer.Exit(1)


def _refuse_two_questions(
    asked: Asked, *, history: bool, can: list[str] | None, against: list[str], all: bool
) -> None:
    """Refuse options that ask two things at once, or a month where a day is needed."""
    given = [
        name
        for name, is_given in (("--history", history), ("--can", can), ("--against", against))
        if is_given
    ]
    if len(given) > 1:
        raise EntryError(f"{' and '.join(given)} ask two things. Give one of them; nothing was changed.")
    if not asked.when.is_day and given and given != ["--history"]:
        raise EntryError(
            f"{given[0]} asks about one day, and --on is the month {asked.when.name}. "
            f"Give a day, for example --on {asked.when.last}.",
            field="--on",
            value=asked.when.name,
        )
    if all and not against:
        raise EntryError("--all lists the equal values of a comparison. Give --against as well.", field="--all")


def _rows(store: Store, asked: Asked, when: Stretch) -> list[dict[str, Any]]:
    return stood_rows(
        store, asked.athlete, when.first, when.last,
        profile=asked.profile, chair=asked.chair, setting=asked.setting,
    )  # fmt: skip


def _answer_sheet(store: Store, asked: Asked) -> tuple[list[str], dict[str, Any]]:
    """Return the sheet of a day, or every value of a month, as lines and as a document."""
    rows = _rows(store, asked, asked.when)
    command = sheet_command(store, asked.athlete, chair=asked.chair, profile=asked.profile)
    document: dict[str, Any] = {"athlete": asked.athlete, "on": asked.when.name}
    if not asked.when.is_day:
        document |= {"from": asked.when.first, "to": asked.when.last}
    lines = sheet_lines if asked.when.is_day else month_lines
    document |= {"rows": [shown(row) for row in rows], "cautions": cautions()}
    return lines(asked.athlete, asked.when, rows, command), document


def _answer_history(store: Store, asked: Asked) -> tuple[list[str], dict[str, Any]]:
    """Return every change, or every value of one setting, as lines and as a document."""
    changes = changes_of(store, asked.athlete, asked.profile, asked.chair, asked.setting)
    _, document = _answer_sheet(store, asked)
    document["history"] = changes
    if asked.setting is None:
        return history_lines(asked.athlete, changes), document
    ever = _rows(store, asked, Stretch.ever())
    document["values"] = [shown(row) for row in ever]
    return values_lines(asked.athlete, asked.setting, ever), document


def _answer_wish(store: Store, asked: Asked, can: list[str]) -> tuple[list[str], dict[str, Any]]:
    """Return whether a wish, or several, may be set, as lines and as a document."""
    rows = stood_rows(store, asked.athlete, asked.when.first, profile=asked.profile, chair=asked.chair)
    return answer_wishes(store, asked.athlete, asked.when.first, rows, can)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="settings")(settings)
