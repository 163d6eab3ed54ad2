"""What logging one change and logging a bundle share: finding changes, and saying why one cannot be logged."""

from __future__ import annotations

from typing import Any

from rampbook.cli.output import figure
from rampbook.cli.sheets import sheet_command, sheet_rows
from rampbook.errors import EntryError
from rampbook.store import Store


def find_change(store: Store, change: str) -> dict[str, Any]:
    """Return the change that goes by an id now.

    Raises
    ------
    EntryError
        When there is none.
    """
    found = store.rows("change", change)
    if not found:
        raise EntryError(
            f'The store has no change "{change}", and no bundle of that id. See the changes with: '
            "rampbook settings ATHLETE --history. Nothing was saved.",
            field="change",
            value=change,
        )
    return found[0]


def refuse_past_a_later_change(store: Store, row: dict[str, Any]) -> None:
    """Refuse a return while a later change of the same setting stands, and say which.

    Raises
    ------
    EntryError
        When one stands.
    """
    rows = sheet_rows(store, row["athlete"], row["on"], profile=row["profile"], chair=row["chair"])
    for entry in rows:
        same = entry["setting"] == row["setting"] and entry["chair"] == row["chair"]
        later = entry["change"] not in (None, row["goes_back_to"])
        # Where the value is one of the change's own, it can go back, or has gone back already.
        if same and later and entry["value"] not in (row["old_value"], row["new_value"]):
            raise EntryError(
                f"{entry['change']} changed {row['setting']} again on {entry['since']}, later than "
                f"{row['goes_back_to']}, to {figure(entry['value'])}. Go back on that first: "
                f"rampbook goback {entry['change']}. Nothing was saved.",
                field="change",
                value=row["goes_back_to"],
            )


def not_on_sheet(store: Store, row: dict[str, Any]) -> EntryError:
    """Return the refusal of a setting that the sheet does not have, with the command that logs it."""
    value = "OLD" if row["old_value"] is None else figure(row["old_value"])
    command = sheet_command(store, row["athlete"], chair=row["chair"], profile=row["profile"])
    return EntryError(
        f"The sheet of {row['athlete']}, profile {row['profile']}, has no {row['setting']} on {row['on']}. "
        "Read the old value from the chair and log it first: "
        f"{command} --on {row['on']} {row['setting']}={value}. Nothing was saved.",
        field="setting",
        value=row["setting"],
    )


def already(row: dict[str, Any], standing: dict[str, Any]) -> EntryError:
    """Return the refusal of a change to the value that stands already."""
    by = f"by {standing['change']}" if standing["change"] else "as read from the chair"
    return EntryError(
        f"{row['setting']} of {row['athlete']}, profile {row['profile']}, is {figure(standing['value'])} "
        f"already, since {standing['since']} ({by}): there is nothing to change. Nothing was saved.",
        field="new_value",
        value=row["new_value"],
    )
