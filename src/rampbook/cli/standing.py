"""Reading from the store which values stood on a day or in a month, and saying who set each one and why."""

from __future__ import annotations

from datetime import date
from typing import Any

from rampbook.cli.output import figure
from rampbook.domain.sheet_diff import Stood
from rampbook.store import Store


def stood_rows(
    store: Store,
    athlete: str,
    first: date,
    last: date | None = None,
    *,
    profile: int | None = None,
    chair: str | None = None,
    setting: str | None = None,
) -> list[dict[str, Any]]:
    """Return the values of an athlete's sheets that stood in a stretch of days, each with what set it.

    For one day (``last`` left out) that is one value a setting, the one at the day's end. For several days it is
    also each value that was left on the way, oldest first.
    """
    return store.rows("settings_in_days", athlete, first, last or first, profile, chair, setting)


def as_stood(row: dict[str, Any]) -> Stood:
    """Return one row as the record that sheets are compared by."""
    names = ("chair", "profile", "setting", "value", "since", "change", "place")
    return Stood(**{name: row[name] for name in names})


def shown(row: dict[str, Any]) -> dict[str, Any]:
    """Return one row as the JSON answers give it."""
    return {name: value for name, value in row.items() if name != "place"}


def sheets_of(rows: list[dict[str, Any]]) -> dict[tuple[str | None, int], list[dict[str, Any]]]:
    """Return the rows by chair and profile, in their order."""
    found: dict[tuple[str | None, int], list[dict[str, Any]]] = {}
    for row in rows:
        found.setdefault((row["chair"], row["profile"]), []).append(row)
    return found


def sheet_name(chair: str | None, profile: int | None) -> str:
    """Return how a sheet is called inside a sentence; what is not known or not asked is left out."""
    parts = ["" if profile is None else f"profile {profile}", f"chair {chair}" if chair else ""]
    return ", ".join(part for part in parts if part)


def sheet_heading(chair: str | None, profile: int | None) -> str:
    """Return how a sheet is called in a heading."""
    name = sheet_name(chair, profile)
    # Not str.capitalize: it would put the chair's code in small letters.
    return name[:1].upper() + name[1:]


def why(row: dict[str, Any]) -> str:
    """Return the reason of a change, whether it was planned, its bundle, what it undoes and what it corrects."""
    how = {1: "planned", 0: "a reaction", None: ""}[row["planned"]]
    bundle = f"one of bundle {row['bundle']}" if row["bundle"] else ""
    back = f"goes back to before {row['goes_back_to']}" if row["goes_back_to"] else ""
    corrects = f"corrects {row['supersedes']}" if row["supersedes"] else ""
    return "; ".join(part for part in (row["reason"], how, bundle, back, corrects) if part) or "not noted"


def how_it_came(row: dict[str, Any]) -> tuple[str, str, str]:
    """Return the change, the role and the reason behind a value as a person reads them."""
    again = f"; read again on {row['checked_on']}" if row["checked_on"] and row["checked_on"] > row["since"] else ""
    if row["change"] is not None:
        return row["change"], row["role"] or "-", why(row) + again
    found = "read from the chair" + again
    if row["old_value"] is not None:
        found += f"; before it {figure(row['old_value'])} stood, and no change is logged"
    return "-", "-", found


def in_one_line(row: dict[str, Any]) -> str:
    """Return what set a value, when, who and why, in one line."""
    change, role, reason = how_it_came(row)
    if row["change"] is None:
        return f"{row['since']}, {reason}"
    step = f"{figure(row['old_value'])} → {figure(row['value'])}"
    return f"{change} on {row['since']}, {step}, {'role not noted' if role == '-' else role}: {reason}"
