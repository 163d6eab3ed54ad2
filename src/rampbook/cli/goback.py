"""``rampbook goback``: the way back to the old value of a change, or of all settings of a bundle."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from rampbook.cli.bundle import LoggedBundle, goback_bundle, print_bundle
from rampbook.cli.change import JsonOption, Logged, OnOption, StoreOption, log_change, print_change
from rampbook.cli.changing import find_change, refuse_past_a_later_change
from rampbook.cli.inputs import day
from rampbook.domain.consent import ROLES
from rampbook.domain.words import one_of
from rampbook.store import Store, open_store


def goback(
    change: Annotated[str, typer.Argument(help="Id of the change that is undone.")],
    why: Annotated[str | None, typer.Option(help="Why, in your words; no names.")] = None,
    on: OnOption = None,
    role: Annotated[str | None, typer.Option(help=f"Who changes it: {', '.join(ROLES)}.")] = None,
    planned: Annotated[
        bool | None,
        typer.Option("--planned/--reacting", help="Planned beforehand, or a reaction to something."),
    ] = None,
    id: Annotated[str | None, typer.Option(help="Your own id for the return.")] = None,
    store: StoreOption = None,
    json: JsonOption = False,
) -> None:
    """Log the return of a setting to its old value; of a bundle, the return of all its settings.

    The return is a change of its own that names the first; nothing is written over.
    """
    shared = {
        "on": day(on),
        "role": None if role is None else one_of(role, ROLES, field="--role"),
        "reason": why or "back to the old value",
        "planned": None if planned is None else int(planned),
    }
    with open_store(store, create=False) as opened, opened.transaction():
        members = [] if opened.rows("change", change) else opened.rows("bundle", change)
        logged: Logged | LoggedBundle
        if members:
            logged = goback_bundle(opened, members, shared, id, as_json=json)
        else:
            logged = log_change(opened, _return_of(opened, change, shared | {"change": id}), as_json=json)
    if isinstance(logged, Logged):
        print_change(logged, as_json=json)
    else:
        print_bundle(logged, as_json=json)


def _return_of(store: Store, change: str, shared: dict[str, Any]) -> dict[str, Any]:
    """Return the row that undoes a change."""
    first = find_change(store, change)
    row = {name: first[name] for name in ("athlete", "chair", "profile", "setting")} | shared
    row |= {"old_value": first["new_value"], "new_value": first["old_value"], "goes_back_to": first["change"]}
    refuse_past_a_later_change(store, row)
    return row


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="goback")(goback)
