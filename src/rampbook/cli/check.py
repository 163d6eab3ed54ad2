"""``rampbook check``: whether the store is sound."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rampbook.cli.output import print_json, print_lines, section
from rampbook.store import open_store
from rampbook.store.queries import check_store


def check(
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Check that the store is sound: nothing doubled, orphaned, contradicted or out of bounds."""
    with open_store(store, create=False) as opened:
        problems = check_store(opened)
    if json:
        print_json({"sound": not problems, "problems": [problem.to_dict() for problem in problems]})
    elif problems:
        print_lines(section("Not sound:", (str(problem) for problem in problems))[1:])
    else:
        print_lines(["Sound: every check passed."])
    if problems:
        raise typer.Exit(1)


def register(app: typer.Typer) -> None:
    """Add the command to an app."""
    app.command()(check)
