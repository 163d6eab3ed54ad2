"""``rampbook settings``: the sheet as it stood on a day, every change of it, and whether a wish may be set."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.inputs import day, future_warning, maybe_whole, number, pair
from rampbook.cli.output import figure, print_json, print_lines, print_notes, section, table
from rampbook.cli.sheets import one_sheet, refuse_unknown_athlete, sheet_command, sheet_rows
from rampbook.cli.wish import weigh, wish_lines
from rampbook.domain.cautions import cautions
from rampbook.errors import EntryError
from rampbook.store import Store, open_store
from rampbook.store.catalogue import read_catalogue


def settings(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    on: Annotated[str | None, typer.Option(help="Day, YYYY-MM-DD; today when left out.")] = None,
    profile: Annotated[
        str | None, typer.Option(help="Number of the drive profile; all when left out.")
    ] = None,
    chair: Annotated[str | None, typer.Option(help="Code of the chair; all when left out.")] = None,
    can: Annotated[
        str | None, typer.Option(metavar="SETTING=VALUE", help="Ask whether a setting may take a value.")
    ] = None,
    history: Annotated[
        bool, typer.Option("--history", help="List every change with its id, oldest first, of any day.")
    ] = False,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Show the settings of an athlete as they stood on a day.

    With --history it lists every change instead, each with its id, as it stands after corrections.
    With --can it says whether a setting may take a value and, if not, what blocks it and the order of steps
    that frees it. Nothing is changed.
    """
    asked_on, driven = day(on, saving=False), maybe_whole(profile, field="--profile", saving=False)
    if history and can is not None:
        raise EntryError("--history and --can ask two things. Give one of them; nothing was changed.")
    with open_store(store, create=False) as opened:
        refuse_unknown_athlete(opened, athlete)
        rows = sheet_rows(opened, athlete, asked_on, profile=driven, chair=chair)
        if can is not None:
            _answer_wish(opened, athlete, rows, can, as_json=json)
            return
        changes = _changes(opened, athlete, driven, chair) if history else []
        command = sheet_command(opened, athlete, chair=chair, profile=driven)
    if history and not json:
        print_lines(_history_lines(athlete, changes))
        return
    print_notes(future_warning(asked_on))
    if json:
        answer = {"athlete": athlete, "on": asked_on, "rows": rows, "cautions": cautions()}
        print_json(answer | ({"history": changes} if history else {}))
    else:
        print_lines(_sheet_lines(athlete, asked_on, rows, command))


def _answer_wish(store: Store, athlete: str, rows: list[dict[str, Any]], can: str, *, as_json: bool) -> None:
    setting, text = pair(can, field="--can", saving=False)
    values, chair, profile = one_sheet(rows, athlete)
    wish = weigh(values, setting, number(text, field=setting, saving=False), read_catalogue(store.connection))
    if as_json:
        print_json(wish.to_dict())
        return
    where = f"{athlete}, profile {figure(profile)}" + (f", chair {chair}" if chair else "")
    print_lines([where, *wish_lines(wish), *section("Before anything is changed:", wish.caution_lines)])


def _sheet_lines(athlete: str, on: date, rows: list[dict[str, Any]], command: str) -> list[str]:
    """Return the sheet, one table for each chair and profile; when it is empty, the command that logs it."""
    lines = [f"Settings of {athlete} as they stood on {on}"]
    if not rows:
        lines += [
            "",
            f"Nothing is on the sheet for that day. Log it with: {command} SETTING=VALUE ...",
        ]
        return lines
    for chair, profile in dict.fromkeys((row["chair"], row["profile"]) for row in rows):
        mine = [row for row in rows if (row["chair"], row["profile"]) == (chair, profile)]
        lines += ["", f"Profile {profile}" + (f", chair {chair}" if chair else "")]
        lines += table(("setting", "value", "since", "change", "by", "why"), [_cells(row) for row in mine])
    lines += ["", "Values are in the chair's own scale: never compare them with another chair's."]
    return [*lines, *section("Before anything is changed:", cautions())]


def _changes(store: Store, athlete: str, profile: int | None, chair: str | None) -> list[dict[str, Any]]:
    """Return every change as it stands after corrections, oldest first; of one profile or chair when asked."""
    return [
        row
        for row in store.rows("changes_of_athlete", athlete)
        if profile in (None, row["profile"]) and chair in (None, row["chair"])
    ]


def _history_lines(athlete: str, changes: list[dict[str, Any]]) -> list[str]:
    """Return every change as a line of one table."""
    if not changes:
        return [f"No change of {athlete} is in the log here. Log one with: rampbook change {athlete} ..."]
    headings = ("change", "on", "chair", "profile", "setting", "old → new", "by", "why")
    return [
        f"Changes of {athlete}, oldest first",
        "",
        *table(headings, [_change_cells(row) for row in changes]),
        "",
        "What one of them did: rampbook effect CHANGE. The way back: rampbook goback CHANGE.",
    ]


def _change_cells(row: dict[str, Any]) -> tuple[str, ...]:
    """Return one change as a person reads it."""
    corrects = f"corrects {row['supersedes']}" if row["supersedes"] else ""
    return (
        row["change"],
        str(row["on"]),
        row["chair"] or "-",
        figure(row["profile"]),
        row["setting"],
        f"{figure(row['old_value'])} → {figure(row['new_value'])}",
        row["role"] or "-",
        "; ".join(part for part in (_why(row), corrects) if part) or "not noted",
    )


def _cells(row: dict[str, Any]) -> tuple[str, ...]:
    """Return one value of the sheet as a person reads it."""
    if row["change"] is None:
        return row["setting"], figure(row["value"]), str(row["since"]), "-", "-", "read from the chair"
    why = _why(row) or "not noted"
    return row["setting"], figure(row["value"]), str(row["since"]), row["change"], row["role"] or "-", why


def _why(row: dict[str, Any]) -> str:
    """Return the reason of a change, whether it was planned, and the change that it undoes."""
    how = {1: "planned", 0: "a reaction", None: ""}[row["planned"]]
    back = f"goes back to before {row['goes_back_to']}" if row["goes_back_to"] else ""
    return "; ".join(part for part in (row["reason"], how, back) if part)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="settings")(settings)
