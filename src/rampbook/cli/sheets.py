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


def chairs_of(store: Store, athlete: str) -> list[str]:
    """Return the codes of the chairs that an athlete has a sheet of."""
    mine = (row["chair"] for row in store.rows("sheets_now") if row["athlete"] == athlete)
    return sorted({chair for chair in mine if chair})


def only_chair(store: Store, athlete: str) -> str | None:
    """Return an athlete's one chair; None when no sheet names a chair yet.

    Raises
    ------
    EntryError
        When there are several: a sheet is of one.
    """
    known = chairs_of(store, athlete)
    if len(known) > 1:
        raise EntryError(
            f"{athlete} has more than one chair: {', '.join(known)}. Say which with --chair; nothing was saved.",
            field="chair",
        )
    return known[0] if known else None


def sheet_command(store: Store, athlete: str, *, chair: str | None, profile: int | None) -> str:
    """Return the start of the command that logs a sheet; what is not known stands in capitals."""
    known = chairs_of(store, athlete)
    named = chair or (known[0] if len(known) == 1 else "CHAIR")
    return f"rampbook sheet {athlete} --profile {'PROFILE' if profile is None else profile} --chair {named}"


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
