"""``rampbook bundle``: several settings changed in one go, logged together and undone together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.changing import already, not_on_sheet, refuse_past_a_later_change
from rampbook.cli.guided import Guided, driven_as, guide
from rampbook.cli.inputs import day, future_warning, number, pairs, whole, words
from rampbook.cli.output import figure, print_json, print_lines, print_notes, section
from rampbook.cli.sheets import one_sheet, refuse_unknown_athlete, sheet_rows
from rampbook.cli.wish import Wishes, block_line, weigh_all
from rampbook.domain.consent import ROLES
from rampbook.domain.orders import safe_order
from rampbook.domain.settings import Catalogue
from rampbook.domain.words import one_of
from rampbook.errors import EntryError, SettingBlocked
from rampbook.store import Store, open_store
from rampbook.store.catalogue import read_catalogue
from rampbook.store.saved import record_rows

Row = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedBundle:
    """A bundle as the store has it, what its steps do, and whether this call added it."""

    bundle: str
    changes: list[Row]
    guided: Guided
    is_new: bool

    @property
    def warning(self) -> str:
        """What a bundle costs."""
        return (
            f"One change at a time is the rule. These {len(self.changes)} were made in one go, so they are estimated "
            "only as a bundle: no record can tell what one of them did alone."
        )

    @property
    def way_back(self) -> str:
        """The command that logs the return of all of them."""
        return f"rampbook goback {self.bundle}"

    def to_dict(self) -> dict[str, Any]:
        """Return the parts for JSON."""
        return {
            "bundle": self.bundle, "changes": self.changes, "already_there": not self.is_new,
            "warnings": [self.warning], **self.guided.to_dict(), "way_back": self.way_back,
            "cautions": self.guided.caution_lines,
        }  # fmt: skip

    def lines(self) -> list[str]:
        """Return what was logged, in which order it breaks no rule, what it does, the way back and the cautions."""
        first = self.changes[0]
        start = "Logged bundle" if self.is_new else "Nothing was added: it is in the store already as bundle"
        how = {1: "planned, ", 0: "a reaction, ", None: ""}[first["planned"]]
        lines = [
            f"{start} {self.bundle}: {len(self.changes)} changes in one go, {first['athlete']}, profile "
            f"{first['profile']}, {first['on']} ({how}{first['role'] or 'role not noted'}).",
            *(f"  {c['change']}: {c['setting']} from {figure(c['old_value'])} to {figure(c['new_value'])}"
              f"{_returns(c)}" for c in self.changes),
            f"Why: {first['reason']}",
            "",
            self.warning,
        ]  # fmt: skip
        if self.is_new:
            lines += ["", "On the chair, in this order, no rule is broken on the way:", *self.guided.step_lines()]
            lines += self.guided.dial_lines(first["profile"])
        lines += ["", f"The way back, all of them in a safe order: {self.way_back}"]
        return [*lines, *section("Before it is driven:", self.guided.caution_lines)]


def bundle(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    changes: Annotated[
        list[str], typer.Argument(metavar="SETTING=NEW...", help="The settings that are changed, in any order.")
    ],
    profile: Annotated[str, typer.Option(help="Number of the drive profile; a bundle touches one.")],
    why: Annotated[str, typer.Option(help="Why, in your words; no names.")],
    role: Annotated[str, typer.Option(help=f"Who changes them: {', '.join(ROLES)}.")],
    old: Annotated[
        list[str] | None,
        typer.Option("--from", metavar="SETTING=OLD", help="An old value, as read from the chair; may be repeated."),
    ] = None,
    planned: Annotated[
        bool | None,
        typer.Option("--planned/--reacting", help="Planned beforehand, or a reaction to something."),
    ] = None,
    on: Annotated[str | None, typer.Option(help="Day, YYYY-MM-DD; today when left out.")] = None,
    chair: Annotated[str | None, typer.Option(help="Code of the chair.")] = None,
    id: Annotated[str | None, typer.Option(help="Your own id for the bundle.")] = None,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Log several settings that were changed in one go: all of them, or nothing.

    One change at a time is the rule. Where it could not be kept, a bundle says so: it is estimated only as a
    whole, and `rampbook goback BUNDLE` returns all of it.
    """
    wanted = {name: number(text, field=name) for name, text in pairs(changes, field="SETTING=NEW").items()}
    read = {name: number(text, field="--from") for name, text in pairs(old or [], field="--from").items()}
    _refuse_mismatch(wanted, read)
    shared: Row = {
        "athlete": athlete,
        "chair": chair,
        "profile": whole(profile, field="--profile"),
        "on": day(on),
        "role": one_of(role, ROLES, field="--role"),
        "reason": words(why, field="--why"),
        "planned": None if planned is None else int(planned),
    }
    with open_store(store, create=False) as opened, opened.transaction():
        refuse_unknown_athlete(opened, athlete)
        rows = [shared | {"setting": n, "old_value": read.get(n), "new_value": v} for n, v in wanted.items()]
        logged = log_bundle(opened, rows, id or _made_id(shared, wanted), as_json=json)
    print_bundle(logged, as_json=json)


def goback_bundle(store: Store, members: Sequence[Row], shared: Row, id: str | None, *, as_json: bool) -> LoggedBundle:
    """Log the return of every setting of a bundle, in an order that breaks no rule; those that are back are left.

    Raises
    ------
    EntryError
        When a later change of one of the settings stands, or nothing is left to return.
    SettingBlocked
        When no order of returns keeps the rules.
    """
    first = members[0]
    rows = [
        {name: member[name] for name in ("athlete", "chair", "profile", "setting")}
        | shared
        | {"old_value": member["new_value"], "new_value": member["old_value"], "goes_back_to": member["change"]}
        for member in members
    ]
    for row in rows:
        refuse_past_a_later_change(store, row)
    return log_bundle(store, rows, id or f"{first['bundle']}-back", as_json=as_json, leave_standing=True)


def log_bundle(
    store: Store, rows: Sequence[Row], id: str, *, as_json: bool, leave_standing: bool = False
) -> LoggedBundle:
    """Record changes as one bundle, or raise what stands in the way; ``leave_standing`` skips what stands already.

    Raises
    ------
    EntryError
        When a setting is not on the sheet or stands at its new value, or the id is taken by other changes.
    SettingBlocked
        When no order of these changes alone keeps the rules; it carries the steps that would.
    """
    catalogue = read_catalogue(store.connection)
    entries = sheet_rows(store, rows[0]["athlete"], rows[0]["on"], profile=rows[0]["profile"], chair=rows[0]["chair"])
    values, chair, _ = one_sheet(entries, rows[0]["athlete"])
    there = store.rows("bundle", id)
    if there:
        _refuse_other_content(id, there, rows)
        return LoggedBundle(bundle=id, changes=there, guided=guide(values, (), catalogue), is_new=False)
    rows = [row | {"chair": row["chair"] or chair} for row in rows]
    left = _still_to_change(store, rows, entries, catalogue, leave_standing=leave_standing)
    driven = driven_as(store, rows[0]["athlete"], rows[0]["on"], rows[0]["profile"], rows[0]["chair"])
    steps = safe_order(values, {row["setting"]: row["new_value"] for row in left}, catalogue)
    if not steps:
        wishes = weigh_all(values, {row["setting"]: row["new_value"] for row in left}, catalogue, driven)
        if as_json:
            print_json({"bundle": None, **wishes.to_dict()})
        raise _blocked(wishes)
    by_setting = {row["setting"]: row for row in left}
    changes = [by_setting[s.setting] | {"bundle": id, "change": f"{id}-{s.setting}"} for s in steps]
    record_rows(store, {"changes": changes})
    return LoggedBundle(
        bundle=id, changes=store.rows("bundle", id), guided=guide(values, steps, catalogue, driven), is_new=True
    )


def print_bundle(logged: LoggedBundle, *, as_json: bool) -> None:
    """Print what was logged; after the store is closed, so that a broken pipe undoes nothing."""
    print_notes(future_warning(logged.changes[0]["on"]))
    if as_json:
        print_json(logged.to_dict())
    else:
        print_lines(logged.lines())


def _refuse_mismatch(wanted: Mapping[str, float], read: Mapping[str, float]) -> None:
    """Refuse a bundle of one, and an old value of a setting that is not changed."""
    if len(wanted) < 2:
        raise EntryError(
            f"A bundle is of two settings or more, and {', '.join(wanted)} is one. Log it with: rampbook change. "
            "Nothing was saved.",
            field="SETTING=NEW",
        )
    stray = next((name for name in read if name not in wanted), None)
    if stray:
        raise EntryError(
            f"--from names {stray}, which is not changed. Name its new value too, or leave it out. Nothing was saved.",
            field="--from",
            value=stray,
        )


def _made_id(shared: Row, wanted: Mapping[str, float]) -> str:
    """Return an id that depends on the content alone, so that the same call twice adds nothing."""
    parts = [str(shared[name]) for name in ("athlete", "chair", "profile", "on")]
    parts += sorted(f"{name}={value!r}" for name, value in wanted.items())
    return f"bundle-{sha256(chr(31).join(parts).encode()).hexdigest()[:10]}"


def _refuse_other_content(id: str, there: Sequence[Row], rows: Sequence[Row]) -> None:
    names = ("athlete", "profile", "on", "setting", "new_value")
    stored, asked = ({tuple(row[name] for name in names) for row in part} for part in (there, rows))
    # A return leaves out what went back before.
    if not stored <= asked or (rows[0].get("goes_back_to") is None and stored != asked):
        raise EntryError(
            f'The store has a bundle "{id}" already, with other changes. Give another --id. Nothing was saved.',
            field="--id",
            value=id,
        )


def _still_to_change(
    store: Store, rows: Sequence[Row], entries: Sequence[Row], catalogue: Catalogue, *, leave_standing: bool
) -> list[Row]:
    standing = {entry["setting"]: entry for entry in entries}
    left = []
    for row in rows:
        catalogue.find(row["setting"])
        if row["setting"] not in standing:
            raise not_on_sheet(store, row)
        if row["new_value"] != standing[row["setting"]]["value"]:
            left.append(row)
        elif not leave_standing:
            raise already(row, standing[row["setting"]])
    if not left:
        raise already(rows[0], standing[rows[0]["setting"]])
    return left


def _blocked(wishes: Wishes) -> SettingBlocked:
    """Return the refusal: what blocks the bundle, and the order of steps that would get there."""
    answer = wishes.to_dict()
    steps = wishes.guided.step_lines()
    lines = [
        "These changes cannot stand together as the sheet is. Nothing was saved.",
        *section("What blocks them:", map(block_line, wishes.blocks)),
        *(
            ["", "One change at a time, in this order, no rule is broken:", *steps]
            if steps
            else ["", f"No order of steps gets there: {wishes.impossible}."]
        ),
        *section("Before anything is changed:", wishes.caution_lines),
    ]
    return SettingBlocked("\n".join(lines), blocked_by=answer["blocked_by"], steps=answer["steps"])


def _returns(change: Row) -> str:
    return f", back to before {change['goes_back_to']}" if change["goes_back_to"] else ""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="bundle")(bundle)
