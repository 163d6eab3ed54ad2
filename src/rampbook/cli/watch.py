"""``rampbook watch``: whether anything got worse since the changes that are in force."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from rampbook.cli.output import print_json, print_lines
from rampbook.cli.sheets import refuse_unknown_athlete
from rampbook.evidence.harm import Watched, WatchedChange, words
from rampbook.harm import alerts, watch
from rampbook.store import open_store


def watch_command(
    athlete: Annotated[str | None, typer.Argument(help="Code of the athlete; leave it out for everybody.")] = None,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Watch every change in force for harm: collisions and other counts, comfort, control and pain.

    Ends with 1 when an alert stands. Harm that you have seen needs no alert: go back at once.
    """
    with open_store(store, create=False) as opened:
        if athlete is not None:
            refuse_unknown_athlete(opened, athlete)
        found = watch(opened, athlete)
    raised = alerts(found)
    if json:
        print_json({"alerts": len(raised), "watched": [watched.to_dict() for watched in found]})
    else:
        print_lines(_lines(found))
    if raised:
        raise typer.Exit(1)


def _lines(found: Sequence[Watched]) -> list[str]:
    """Return the alerts first, then one block a change."""
    raised = alerts(found)
    out = [line for watched in raised for line in [*words(watched), ""]]
    if not found:
        return ["Nothing to watch: no change is in force with collisions, comfort, control or pain beside it."]
    for of in dict.fromkeys(watched.of for watched in found):
        calm = [watched for watched in found if watched.of == of and not watched.is_alert]
        out += [_heading(of), *(f"  - {line}" for watched in calm for line in words(watched))]
        out += [f"  - {watched.outcome.replace('_', ' ')}: see above" for watched in raised if watched.of == of]
    return out


def _heading(of: WatchedChange) -> str:
    values = f"{of.setting} {of.old_value:g} to {of.new_value:g}"
    return f"{of.change}: {values}, {of.athlete}, profile {of.profile}, {of.on}"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="watch")(watch_command)
