"""``rampbook change``: one setting a change, its old value kept."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.changing import already, find_change, not_on_sheet
from rampbook.cli.guided import driven_as, felt_words
from rampbook.cli.inputs import day, future_warning, maybe_number, number, whole, words
from rampbook.cli.output import figure, print_json, print_lines, print_notes, section
from rampbook.cli.sheets import one_sheet, refuse_unknown_athlete, sheet_rows
from rampbook.cli.wish import Wish, block_line, step_lines, weigh
from rampbook.domain.consent import ROLES
from rampbook.domain.words import one_of
from rampbook.errors import SettingBlocked
from rampbook.store import Store, open_store
from rampbook.store.catalogue import read_catalogue
from rampbook.store.saved import record_rows

StoreOption = Annotated[Path | None, typer.Option(help="The store's file.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]
OnOption = Annotated[str | None, typer.Option(help="Day, YYYY-MM-DD; today when left out.")]


def change(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    profile: Annotated[str, typer.Option(help="Number of the drive profile; a change touches one.")],
    setting: Annotated[str, typer.Option(help="The one setting that is changed.")],
    to: Annotated[str, typer.Option(help="Its new value.")],
    why: Annotated[str, typer.Option(help="Why, in your words; no names.")],
    role: Annotated[str, typer.Option(help=f"Who changes it: {', '.join(ROLES)}.")],
    old: Annotated[str | None, typer.Option("--from", help="Its old value, as read from the chair.")] = None,
    planned: Annotated[
        bool | None,
        typer.Option("--planned/--reacting", help="Planned beforehand, or a reaction to something."),
    ] = None,
    on: OnOption = None,
    chair: Annotated[str | None, typer.Option(help="Code of the chair.")] = None,
    id: Annotated[str | None, typer.Option(help="Your own id for the change.")] = None,
    supersedes: Annotated[str | None, typer.Option(help="Id of the change that this one corrects.")] = None,
    store: StoreOption = None,
    json: JsonOption = False,
) -> None:
    """Log one change of one setting.

    It is refused when a rule of the settings blocks it; the answer then names the steps that free it.
    """
    row = {
        "change": id,
        "athlete": athlete,
        "chair": chair,
        "profile": whole(profile, field="--profile"),
        "setting": setting,
        "old_value": maybe_number(old, field="--from"),
        "new_value": number(to, field="--to"),
        "on": day(on),
        "role": one_of(role, ROLES, field="--role"),
        "reason": words(why, field="--why"),
        "planned": None if planned is None else int(planned),
        "supersedes": supersedes,
    }
    with open_store(store, create=False) as opened, opened.transaction():
        refuse_unknown_athlete(opened, athlete)
        logged = log_change(opened, row, as_json=json)
    print_change(logged, as_json=json)


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """A change as the store has it, with every statement of it, and whether this call added it.

    ``of_bundle`` is the bundle of the change that this one undoes alone; ``tried`` the change that was taken back
    by the one which this one undoes: its value was tried and left.
    """

    change: dict[str, Any]
    wish: Wish
    history: list[dict[str, Any]]
    is_new: bool
    of_bundle: str | None
    tried: str | None


def log_change(store: Store, row: dict[str, Any], *, as_json: bool) -> Logged:
    """Record a change, or raise what stands in the way."""
    wish = _weighed(store, row)
    if not wish.allowed:
        if as_json:
            print_json({"change": None, **wish.to_dict()})
        raise _blocked(wish)
    saved = record_rows(store, {"changes": [row]})
    id = saved.ids["changes"][0]
    history = store.rows("change_history", id)
    change = find_change(store, id)
    undone = find_change(store, change["goes_back_to"]) if change["goes_back_to"] else None
    return Logged(
        change=change,
        wish=wish,
        history=history,
        is_new=bool(saved.n_added),
        of_bundle=undone["bundle"] if undone and not change["bundle"] else None,
        tried=undone["goes_back_to"] if undone else None,
    )


def print_change(logged: Logged, *, as_json: bool) -> None:
    """Print what was logged; after the store is closed, so that a broken pipe undoes nothing."""
    change = logged.change
    print_notes(future_warning(change["on"]))
    if as_json:
        way_back = f"rampbook goback {change['change']}"
        print_json(change | {"already_there": not logged.is_new, **logged.wish.to_dict(), "way_back": way_back})
    else:
        print_lines(_done_lines(logged))


def _weighed(store: Store, row: dict[str, Any]) -> Wish:
    """Return what stands between the sheet and the change; a chair left out is filled in from the sheet."""
    rows = sheet_rows(store, row["athlete"], row["on"], profile=row["profile"], chair=row["chair"])
    values, chair, _ = one_sheet(rows, row["athlete"])
    catalogue = read_catalogue(store.connection)
    catalogue.find(row["setting"])
    row["chair"] = row["chair"] or chair
    standing = next((entry for entry in rows if entry["setting"] == row["setting"]), None)
    if standing is None:
        raise not_on_sheet(store, row)
    if row.get("supersedes"):
        # A correction stays in the bundle of what it corrects.
        row["bundle"] = find_change(store, row["supersedes"])["bundle"]
    if row.get("supersedes") and standing["change"] == find_change(store, row["supersedes"])["change"]:
        # A correction starts from where the change that it corrects started.
        values[row["setting"]] = find_change(store, row["supersedes"])["old_value"]
    elif row["new_value"] == standing["value"] and standing["since"] != row["on"]:
        raise already(row, standing)
    driven = driven_as(store, row["athlete"], row["on"], row["profile"], row["chair"])
    return weigh(values, row["setting"], row["new_value"], catalogue, driven)


def _blocked(wish: Wish) -> SettingBlocked:
    """Return the refusal: what blocks, and the order of steps that frees it."""
    lines = [
        f"{wish.setting} can't go to {figure(wish.value)}. Nothing was saved.",
        *section("What blocks it:", map(block_line, wish.blocks)),
        *(step_lines(wish.steps) if wish.steps else ["", f"No order of steps gets there: {wish.impossible}."]),
        *section("Before anything is changed:", wish.caution_lines),
    ]
    answer = wish.to_dict()
    return SettingBlocked("\n".join(lines), blocked_by=answer["blocked_by"], steps=answer["steps"], value=wish.value)


def _done_lines(logged: Logged) -> list[str]:
    """Return what was logged, what it corrects or undoes, the way back and the cautions."""
    done = logged.change
    how = {1: "planned, ", 0: "a reaction, ", None: ""}[done["planned"]]
    start = "Logged" if logged.is_new else "Nothing was added: it is in the store already as"
    lines = [
        f"{start} {done['change']}: {done['setting']} from {figure(done['old_value'])} "
        f"to {figure(done['new_value'])}, {done['athlete']}, profile {done['profile']}, {done['on']} "
        f"({how}{done['role'] or 'role not noted'}).",
        f"Why: {done['reason']}",
    ]
    if done["goes_back_to"]:
        lines.append(f"It goes back to the value before {done['goes_back_to']}.")
    if logged.tried:
        lines.append(
            f"Take care: {figure(done['new_value'])} is the value of {logged.tried}, which was tried and taken back. "
            f"Read why before it is driven: rampbook settings {done['athlete']} --history, "
            f"rampbook effect {logged.tried}"
        )
    if done["bundle"]:
        lines.append(f"It is one of bundle {done['bundle']}, and estimated only with it.")
    if logged.of_bundle:
        lines.append(
            f"{done['goes_back_to']} is one of bundle {logged.of_bundle}, and the others stay as they are. "
            f"All of them: rampbook goback {logged.of_bundle}"
        )
    lines += [f"What it does: {felt_words(felt)}" for felt in logged.wish.guided.felts]
    lines += logged.wish.guided.dial_lines(done["profile"])
    if len(logged.history) > 1:
        lines += section("Both stay in the record:", map(_history_line, logged.history))
    lines += section("Could not be checked:", (f"{u.rule} ({u.reason})" for u in logged.wish.unchecked))
    lines += ["", f"The way back: rampbook goback {done['change']}"]
    return [*lines, *section("Before it is driven:", logged.wish.caution_lines)]


def _history_line(row: dict[str, Any]) -> str:
    corrects = f", corrects {row['supersedes']}" if row["supersedes"] else ""
    values = f"from {figure(row['old_value'])} to {figure(row['new_value'])}"
    return f"{row['change']}: {values} on {row['on']}{corrects}"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="change")(change)
