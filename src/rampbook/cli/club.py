"""``rampbook athlete``, ``sheet`` and ``event``: what a club needs to start without any file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.inputs import day, future_warning, maybe_whole, number, pairs, whole
from rampbook.cli.output import figure, print_json, print_lines, print_notes, saved_lines, section
from rampbook.cli.sheets import only_chair, refuse_unknown_athlete, sheet_rows
from rampbook.domain.cautions import cautions
from rampbook.domain.consent import CONSENT_SCOPES
from rampbook.domain.events import EVENTS
from rampbook.domain.settings import broken_rules, check_sheet
from rampbook.domain.words import one_of
from rampbook.errors import EntryError
from rampbook.store import Store, open_store
from rampbook.store.catalogue import read_catalogue
from rampbook.store.saved import Saved, record_rows

StoreOption = Annotated[Path | None, typer.Option(help="The store's file.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]
OnOption = Annotated[str | None, typer.Option(help="Day, YYYY-MM-DD; today when left out.")]


def athlete(
    code: Annotated[str, typer.Argument(help="Code of the athlete; never a name.")],
    consent: Annotated[str, typer.Option(help=f"What was agreed: {', '.join(CONSENT_SCOPES)}.")],
    consent_on: Annotated[str | None, typer.Option(help="Day of the agreement; today when left out.")] = None,
    birth_year: Annotated[str | None, typer.Option(help="Year of birth.")] = None,
    store: StoreOption = None,
    json: JsonOption = False,
) -> None:
    """Log an athlete, by code, and what was agreed.

    A later agreement supersedes the earlier one; both stay in the record.
    """
    scope = one_of(consent, CONSENT_SCOPES, field="--consent")
    agreed_on = day(consent_on, field="--consent-on")
    born = maybe_whole(birth_year, field="--birth-year")
    row = {"athlete": code, "birth_year": born, "consent": scope, "consent_on": agreed_on}
    with open_store(store) as opened, opened.transaction():
        before = opened.rows("athlete", code)
        saved = record_rows(
            opened, {"athletes": _what_is_new(row, before, is_day_given=consent_on is not None)}
        )
    print_notes(future_warning(agreed_on))
    lines = saved_lines(saved, f"athlete {code}, consent {scope} ({CONSENT_SCOPES[scope]})")
    if before and saved.n_added:
        lines.append(
            f"Before, it was {before[0]['consent']} since {before[0]['consent_on']}; that stays on record."
        )
    _print(saved, lines, as_json=json)


def _what_is_new(
    row: dict[str, Any], before: list[dict[str, Any]], *, is_day_given: bool
) -> list[dict[str, Any]]:
    """Return the row to save: none when it says what stands, a correction when it says otherwise."""
    if not before:
        return [row]
    said = {name: value for name, value in row.items() if value is not None}
    if not is_day_given:
        del said["consent_on"]
    if all(before[0][name] == value for name, value in said.items()):
        return []
    return [
        row | {"birth_year": row["birth_year"] or before[0]["birth_year"], "supersedes": before[0]["entry"]}
    ]


def sheet(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    values: Annotated[
        list[str], typer.Argument(metavar="SETTING=VALUE...", help="Values read from the chair.")
    ],
    profile: Annotated[str, typer.Option(help="Number of the drive profile.")],
    chair: Annotated[
        str | None, typer.Option(help="Code of the chair; the athlete's one chair when left out.")
    ] = None,
    on: OnOption = None,
    correct: Annotated[
        bool, typer.Option("--correct", help="These values correct what was mistyped that day; both stay on record.")
    ] = False,
    store: StoreOption = None,
    json: JsonOption = False,
) -> None:
    """Log a full check of the settings of one profile, as read from the chair.

    Leave out what you could not read. Where the chair differs from the sheet, the answer says so.
    """
    read_on = day(on)
    read = {name: number(text, field=name) for name, text in pairs(values, field="SETTING=VALUE").items()}
    driven = whole(profile, field="--profile")
    with open_store(store, create=False) as opened, opened.transaction():
        refuse_unknown_athlete(opened, athlete)
        place = {
            "athlete": athlete,
            "chair": chair or only_chair(opened, athlete),
            "profile": driven,
            "on": read_on,
        }
        rows = [place | {"setting": name, "value": value} for name, value in read.items()]
        rows = _corrections(opened, rows, correct=correct)
        notes = _sheet_notes(opened, rows, read)
        saved = record_rows(opened, {"settings": rows})
    print_notes(future_warning(read_on))
    lines = saved_lines(saved, f"the sheet of {athlete}, profile {profile}, read on {read_on}")
    lines += section("A person should look at this:", notes)
    _print(
        saved, [*lines, *section("Before anything is changed:", cautions())], as_json=json, needs_person=notes
    )


def _corrections(store: Store, rows: list[dict[str, Any]], *, correct: bool) -> list[dict[str, Any]]:
    """Return the rows, each naming the reading of that day which it corrects.

    Raises
    ------
    EntryError
        When a value was read otherwise that day and no correction is asked for, or changes have been logged since:
        they started from the value that stands.
    """
    first = rows[0]
    standing = {
        reading["setting"]: reading
        for reading in store.rows("readings_of_day", *(first[name] for name in ("athlete", "chair", "profile", "on")))
    }
    out = []
    for row in rows:
        reading = standing.get(row["setting"])
        if reading is None or reading["value"] == row["value"]:
            out.append(row)
            continue
        said = f"{row['setting']} reads {figure(reading['value'])} in the sheet of {row['on']} already"
        if not correct:
            raise EntryError(
                f"{said}. If that was mistyped, give the right value with --correct; if the setting was changed, log "
                "that with rampbook change. Nothing was saved.",
                field=row["setting"],
                value=row["value"],
            )
        if reading["changes_since"]:
            raise EntryError(
                f"{said}, and it was changed since, starting from there. Correct that first with rampbook change "
                "--supersedes, or log a sheet read today. Nothing was saved.",
                field=row["setting"],
                value=row["value"],
            )
        out.append(row | {"supersedes": reading["entry"]})
    return out


def _sheet_notes(store: Store, rows: list[dict[str, Any]], read: dict[str, float]) -> list[str]:
    """Return what does not fit: rules that the values break, and values that differ from the sheet."""
    catalogue = read_catalogue(store.connection)
    for name, value in read.items():
        outside = [block for block in check_sheet({}, name, value, catalogue) if block.setting == name]
        if outside:
            raise EntryError(
                f"{outside[0].rule}: {figure(value)} was typed. Nothing was saved.", field=name, value=value
            )
    first = rows[0]
    corrected = {row["setting"] for row in rows if "supersedes" in row}
    known = sheet_rows(store, first["athlete"], first["on"], profile=first["profile"], chair=first["chair"])
    notes = [
        f"{row['setting']} was {figure(row['value'])} on the sheet since {row['since']} and reads "
        f"{figure(read[row['setting']])} now; no change was logged"
        for row in known
        if row["setting"] in read and row["value"] != read[row["setting"]] and row["setting"] not in corrected
    ]
    whole_sheet = {row["setting"]: row["value"] for row in known} | read
    return notes + [
        f"the values break a rule: {rule.text}; read them again"
        for rule in broken_rules(whole_sheet, catalogue)
    ]


def event(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    event: Annotated[str, typer.Option(help=f"What happened: {', '.join(EVENTS)}.")],
    on: OnOption = None,
    note: Annotated[str | None, typer.Option(help="In your words; no names.")] = None,
    store: StoreOption = None,
    json: JsonOption = False,
) -> None:
    """Log something else that may change how the chair drives.

    An effect is read with more care when such an event lies near the change.
    """
    kind = one_of(event, EVENTS, field="--event")
    happened_on = day(on)
    with open_store(store, create=False) as opened, opened.transaction():
        refuse_unknown_athlete(opened, athlete)
        row = {"athlete": athlete, "on": happened_on, "event": kind, "note": note}
        saved = record_rows(opened, {"events": [row]})
    print_notes(future_warning(happened_on))
    _print(saved, saved_lines(saved, f"{EVENTS[kind]}, {athlete}, {happened_on}"), as_json=json)


def _print(saved: Saved, lines: list[str], *, as_json: bool, needs_person: list[str] | None = None) -> None:
    """Print what was saved, and end with 1 when a person should look at something."""
    if as_json:
        print_json(saved.to_dict() | {"notes": needs_person or []})
    else:
        print_lines(lines)
    if needs_person:
        raise typer.Exit(1)


def register(app: typer.Typer) -> None:
    """Add the three commands."""
    app.command(name="athlete")(athlete)
    app.command(name="sheet")(sheet)
    app.command(name="event")(event)
