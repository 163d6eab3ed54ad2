"""Writing one entry at a time, by the rules that hold for files; each returns the id of the row.

Every function takes ``supersedes``: the id of the row that the new one corrects. Both stay. Each saves its row or,
on an error, nothing; inside `Store.transaction` several are saved together or not at all.
"""

from __future__ import annotations

from datetime import date, time
from typing import Any

from rampbook.store.connection import Store
from rampbook.store.load.run import load_rows


def record_athlete(
    store: Store,
    athlete: str,
    *,
    consent: str | None,
    consent_on: date | str | None = None,
    birth_year: int | None = None,
    supersedes: str | None = None,
) -> str:
    """Write down an athlete's code and consent (``club``, ``pool`` or ``none``).

    Raises
    ------
    EntryError
        When the code has a space in it, the consent is unknown, or the athlete is recorded already.
    """
    return _record(
        store,
        "athletes",
        athlete=athlete,
        consent=consent,
        consent_on=consent_on,
        birth_year=birth_year,
        supersedes=supersedes,
    )


def record_sheet_value(
    store: Store,
    athlete: str,
    *,
    profile: int,
    setting: str,
    value: float,
    on: date | str,
    chair: str | None = None,
    supersedes: str | None = None,
) -> str:
    """Write down one value read from the chair: of the sheet it started with, or of a full check later.

    Raises
    ------
    EntryError
        When the athlete is unknown or has not agreed, the catalogue lacks the setting, or the value is out of bounds.
    """
    return _record(
        store,
        "settings",
        athlete=athlete,
        chair=chair,
        profile=profile,
        setting=setting,
        value=value,
        on=on,
        supersedes=supersedes,
    )


def record_change(
    store: Store,
    athlete: str,
    *,
    profile: int,
    setting: str,
    new_value: float,
    on: date | str,
    old_value: float | None = None,
    chair: str | None = None,
    change: str | None = None,
    time: time | str | None = None,
    role: str | None = None,
    reason: str | None = None,
    planned: bool | int | None = None,
    goes_back_to: str | None = None,
    bundle: str | None = None,
    supersedes: str | None = None,
) -> str:
    """Write down the change of one setting; an old value left out is taken from the sheet.

    Raises
    ------
    SettingBlocked
        When a rule of the settings stands in the way; it carries what blocks it and the steps that free it.
    EntryError
        When the old value is not the one on the sheet, or anything else does not fit.
    """
    return _record(
        store,
        "changes",
        change=change,
        athlete=athlete,
        chair=chair,
        profile=profile,
        setting=setting,
        old_value=old_value,
        new_value=new_value,
        on=on,
        time=time,
        role=role,
        reason=reason,
        planned=planned,
        goes_back_to=goes_back_to,
        bundle=bundle,
        supersedes=supersedes,
    )


def record_practice(
    store: Store,
    athlete: str,
    *,
    on: date | str,
    practice: str | None = None,
    time: time | str | None = None,
    minutes: float | None = None,
    surface: str | None = None,
    battery_percent: float | None = None,
    dial_percent: float | None = None,
    fatigue: float | None = None,
    pain: float | None = None,
    supersedes: str | None = None,
) -> str:
    """Write down a practice of one athlete.

    Raises
    ------
    EntryError
        When a value cannot be used, or the athlete has a practice of that id already.
    """
    return _record(
        store,
        "practices",
        practice=practice,
        athlete=athlete,
        on=on,
        time=time,
        minutes=minutes,
        surface=surface,
        battery_percent=battery_percent,
        dial_percent=dial_percent,
        fatigue=fatigue,
        pain=pain,
        supersedes=supersedes,
    )


def record_attempt(
    store: Store,
    practice: str,
    *,
    drill: str,
    seconds: float | None = None,
    finished: bool | int | None = None,
    limit_s: float | None = None,
    touches: int | None = None,
    profile: int | None = None,
    layout: str | None = None,
    timer: str | None = None,
    attempt: str | None = None,
    supersedes: str | None = None,
) -> str:
    """Write down one timed attempt; without an id of its own it gets the practice's next number.

    Raises
    ------
    EntryError
        When there is no such practice, or a value cannot be used.
    """
    return _record(
        store,
        "attempts",
        attempt=attempt or _next_attempt(store, practice),
        practice=practice,
        profile=profile,
        drill=drill,
        layout=layout,
        seconds=seconds,
        finished=finished,
        limit_s=limit_s,
        touches=touches,
        timer=timer,
        supersedes=supersedes,
    )


def record_count(
    store: Store,
    practice: str,
    *,
    outcome: str,
    count: int,
    minutes: float | None = None,
    profile: int | None = None,
    supersedes: str | None = None,
) -> str:
    """Write down how often something happened in a practice, and in how many minutes.

    Raises
    ------
    EntryError
        When there is no such practice, or a value cannot be used.
    """
    return _record(
        store,
        "counts",
        practice=practice,
        profile=profile,
        outcome=outcome,
        count=count,
        minutes=minutes,
        supersedes=supersedes,
    )


def record_rating(
    store: Store,
    practice: str,
    *,
    outcome: str,
    rating: float,
    by: str | None = None,
    profile: int | None = None,
    supersedes: str | None = None,
) -> str:
    """Write down a rating from 0 to 10, and whether the athlete gave it (``self``), told it, or it is a guess.

    Raises
    ------
    EntryError
        When there is no such practice, or a value cannot be used.
    """
    return _record(
        store,
        "ratings",
        practice=practice,
        profile=profile,
        outcome=outcome,
        rating=rating,
        by=by,
        supersedes=supersedes,
    )


def record_tries(
    store: Store,
    practice: str,
    *,
    outcome: str,
    successes: int,
    tries: int,
    profile: int | None = None,
    supersedes: str | None = None,
) -> str:
    """Write down how many of a practice's tries succeeded.

    Raises
    ------
    EntryError
        When there is no such practice, or a value cannot be used.
    """
    return _record(
        store,
        "tries",
        practice=practice,
        profile=profile,
        outcome=outcome,
        successes=successes,
        tries=tries,
        supersedes=supersedes,
    )


def record_event(
    store: Store,
    athlete: str,
    *,
    on: date | str,
    event: str,
    time: time | str | None = None,
    note: str | None = None,
    supersedes: str | None = None,
) -> str:
    """Write down something else that happened and could explain a difference.

    Raises
    ------
    EntryError
        When the event is none of the known kinds, or the athlete is unknown.
    """
    return _record(store, "events", athlete=athlete, on=on, time=time, event=event, note=note, supersedes=supersedes)


def _record(store: Store, table: str, **values: Any) -> str:
    return load_rows(store, table, [values])[0]


def _next_attempt(store: Store, practice: str) -> str:
    """Return an id that says which attempt of the practice it is; equal times in a row are two attempts here."""
    found = store.connection.execute("select count(*) from attempts where practice = ?", [practice]).fetchall()
    return f"{practice}#{found[0][0] + 1}"
