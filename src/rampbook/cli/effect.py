"""``rampbook effect``: the estimate, verdict, rung and limits of one logged change."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rampbook.cli.show import drawing_of, print_effect, wants_person


def effect(
    change: Annotated[str, typer.Argument(help="The id of the change.")],
    outcome: Annotated[
        str | None,
        typer.Option(help="drill:NAME, collisions, comfort, …; default the outcome with most practices."),
    ] = None,
    trend: Annotated[bool, typer.Option("--trend/--no-trend", help="Allow for the earlier trend (learning).")] = True,
    confidence: Annotated[float, typer.Option(help="Of the interval.")] = 0.95,
    worthwhile: Annotated[
        float | None, typer.Option(help="Smallest change that would matter: a ratio (0.95) or points.")
    ] = None,
    better: Annotated[str | None, typer.Option(help="lower or higher.")] = None,
    unaffected: Annotated[
        str | None,
        typer.Option(help="An outcome this change cannot affect: if it moved as well, something else changed too."),
    ] = None,
    until: Annotated[
        int | None,
        typer.Option(
            help="Practices with the new setting, in all, at which you will look last: the interval then allows for "
            "looking after every practice."
        ),
    ] = None,
    picture: Annotated[Path | None, typer.Option(help="Also write the picture: .svg, .png or .html.")] = None,
    store: Annotated[
        Path | None, typer.Option(help="The store; else RAMPBOOK_STORE, else your user data folder.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Estimate what one logged change did, say how far it may be believed, and draw it."""
    from rampbook.store import open_store
    from rampbook.workflow import effect_of_change

    with drawing_of(picture) as draw:
        with open_store(store, create=False) as book:
            found = effect_of_change(
                book,
                change,
                outcome,
                confidence=confidence,
                worthwhile=worthwhile,
                better=better,
                trend=trend,
                unaffected=unaffected,
                until=until,
            )
        draw(found)
    print_effect(found, as_json=json)
    raise typer.Exit(wants_person(found))


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="effect")(effect)
