"""The pages of the settings book as lines: the sheet of a day, the values of a month, the history of a setting."""

from __future__ import annotations

from typing import Any

from rampbook.cli.output import figure, section, table
from rampbook.cli.standing import how_it_came, sheet_heading, sheet_name, sheets_of, why
from rampbook.cli.stretch import Stretch
from rampbook.domain.cautions import cautions
from rampbook.store import Store

Row = dict[str, Any]
OWN_SCALE = "Values are in the chair's own scale: never compare them with another chair's."


def sheet_lines(athlete: str, when: Stretch, rows: list[Row], command: str) -> list[str]:
    """Return the sheet, one table for each chair and profile; when it is empty, the command that logs it."""
    lines = [f"Settings of {athlete} as they stood on {when.name}"]
    if not rows:
        return [*lines, "", f"Nothing is on the sheet for that day. Log it with: {command} SETTING=VALUE ..."]
    for (chair, profile), mine in sheets_of(rows).items():
        lines += ["", sheet_heading(chair, profile)]
        cells = [(r["setting"], figure(r["value"]), str(r["since"]), *how_it_came(r)) for r in mine]
        lines += table(("setting", "value", "since", "change", "by", "why"), cells)
    return [*lines, "", OWN_SCALE, *section("Before anything is changed:", cautions())]


def month_lines(athlete: str, when: Stretch, rows: list[Row], command: str) -> list[str]:
    """Return every value that stood at some time in a month; a setting that changed has several lines."""
    lines = [f"Settings of {athlete} in {when.words}: every value that stood at some time in that month"]
    if not rows:
        return [*lines, "", f"Nothing was on the sheet in that month. Log it with: {command} SETTING=VALUE ..."]
    lines += ["", _moved(when, rows)]
    for (chair, profile), mine in sheets_of(rows).items():
        lines += ["", sheet_heading(chair, profile), *_values(mine, setting=True)]
    lines += ["", "A value stood from its first day up to, but not on, the day beside it.", OWN_SCALE]
    return [*lines, *section("Before anything is changed:", cautions())]


def _moved(when: Stretch, rows: list[Row]) -> str:
    """Return which settings took another value in a month, so that nobody has to search for them."""
    moved = dict.fromkeys(
        f"{row['setting']} ({sheet_name(row['chair'], row['profile'])})"
        for row in rows
        if when.first <= row["since"] and row["old_value"] is not None
    )
    return f"Moved in that month: {', '.join(moved) or 'nothing'}."


def values_lines(athlete: str, setting: str, rows: list[Row]) -> list[str]:
    """Return every value that one setting ever had, oldest first."""
    lines = [f"{setting} of {athlete}: every value it had, oldest first"]
    if not rows:
        return [*lines, "", "It is on no sheet here."]
    for (chair, profile), mine in sheets_of(rows).items():
        lines += ["", sheet_heading(chair, profile), *_values(mine, setting=False)]
    lines += ["", "What a change did: rampbook effect CHANGE. The way back: rampbook goback CHANGE.", OWN_SCALE]
    return [*lines, *section("Before anything is changed:", cautions(setting))]


def _values(rows: list[Row], *, setting: bool) -> list[str]:
    """Return values with the days on which they stood as one table."""
    headings = (*(("setting",) if setting else ()), "value", "from", "until", "change", "by", "why")
    return table(
        headings,
        [
            (
                *((row["setting"],) if setting else ()),
                figure(row["value"]),
                str(row["since"]),
                str(row["until"] or "now"),
                *how_it_came(row),
            )
            for row in rows
        ],
    )


def changes_of(
    store: Store, athlete: str, profile: int | None, chair: str | None, setting: str | None
) -> list[Row]:
    """Return every change as it stands after corrections, oldest first; of one profile or chair when asked."""
    return [
        row
        for row in store.rows("changes_of_athlete", athlete)
        if profile in (None, row["profile"])
        and chair in (None, row["chair"])
        and setting in (None, row["setting"])
    ]


def history_lines(athlete: str, changes: list[Row]) -> list[str]:
    """Return every change as a line of one table."""
    if not changes:
        return [f"No change of {athlete} is in the log here. Log one with: rampbook change {athlete} ..."]
    headings = ("change", "on", "chair", "profile", "setting", "old → new", "by", "why")
    bundles = dict.fromkeys(row["bundle"] for row in changes if row["bundle"])
    return [
        f"Changes of {athlete}, oldest first",
        "",
        *table(headings, [_change_cells(row) for row in changes]),
        *section(
            "Made in one go, so estimated only together:",
            (_bundle_line(bundle, changes) for bundle in bundles),
        ),
        "",
        "What one of them did: rampbook effect CHANGE. The way back: rampbook goback CHANGE.",
        "Every value that one setting had: add --setting NAME.",
    ]


def _bundle_line(bundle: str, changes: list[Row]) -> str:
    """Return the changes of a bundle that are listed, and the way back for all of it."""
    mine = ", ".join(row["change"] for row in changes if row["bundle"] == bundle)
    return f"bundle {bundle}: {mine}. The way back: rampbook goback {bundle}"


def _change_cells(row: Row) -> tuple[str, ...]:
    """Return one change as a person reads it."""
    return (
        row["change"],
        str(row["on"]),
        row["chair"] or "-",
        figure(row["profile"]),
        row["setting"],
        f"{figure(row['old_value'])} → {figure(row['new_value'])}",
        row["role"] or "-",
        why(row),
    )
