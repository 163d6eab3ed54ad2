"""Reading one athlete's sheet from the store, and saying clearly which chair or profile is missing."""

from __future__ import annotations

from datetime import date
from typing import Any

from rampbook.errors import EntryError
from rampbook.store import Store


def refuse_unknown_athlete(store: Store, athlete: str) -> None:
    """Check that the store knows an athlete.

    Raises
    ------
    EntryError
        When it does not; the message names those it knows.
    """
    known = [row["athlete"] for row in store.rows("known_athletes")]
    if athlete in known:
        return
    listed = ", ".join(known[:8]) + (f" and {len(known) - 8} more" if len(known) > 8 else "")
    hint = f"It knows {listed}." if known else "It knows nobody yet."
    raise EntryError(
        f'The store has no athlete "{athlete}". {hint} Log one with: rampbook athlete CODE --consent club',
        field="athlete",
        value=athlete,
    )


def sheet_rows(
    store: Store, athlete: str, on: date, *, profile: int | None = None, chair: str | None = None
) -> list[dict[str, Any]]:
    """Return the sheet as it stood that day, each value with the change that set it, its role and reason."""
    changes = {row["change"]: row for row in store.rows("changes_of_athlete", athlete)}
    rows = store.rows("setting_sheet", athlete, on, profile)
    for row in rows:
        change = changes.get(row["change"], {})
        row |= {name: change.get(name) for name in ("role", "reason", "planned", "goes_back_to")}
    return [row for row in rows if chair is None or row["chair"] == chair]


def one_sheet(rows: list[dict[str, Any]], athlete: str) -> tuple[dict[str, float], str | None, int | None]:
    """Return the values of one chair and profile, with the chair and the profile.

    Raises
    ------
    EntryError
        When the rows are of several chairs or profiles: a wish is for one.
    """
    for name in ("chair", "profile"):
        found = sorted({row[name] for row in rows}, key=str)
        if len(found) > 1:
            raise EntryError(
                f"{athlete} has more than one {name}: {', '.join(map(str, found))}. "
                f"Say which with --{name}; nothing was changed.",
                field=name,
            )
    if not rows:
        return {}, None, None
    return {row["setting"]: row["value"] for row in rows}, rows[0]["chair"], rows[0]["profile"]
