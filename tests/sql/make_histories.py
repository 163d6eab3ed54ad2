"""Random records of settings, and a plain replay of them that knows no SQL."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any

from rampbook.store import Store

START = date(2025, 9, 1)
N_DAYS = 70
CHAIRS: tuple[str | None, ...] = ("C1", "C2", None)
SETTINGS = ("deadband", "turn_speed_max")
SHARED = {
    "id": "varchar", "athlete": "varchar", "chair": "varchar", "profile": "integer", "setting": "varchar",
    "value": "double", "on": "date", "supersedes": "varchar", "logged_at": "timestamp",
}  # fmt: skip
OF_CHANGES = {"old_value": "double", "time": "time", "goes_back_to": "varchar"}
Key = tuple[str, str | None, int, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One row of the record: a value that was read, or a change."""

    id: str
    athlete: str
    chair: str | None
    profile: int
    setting: str
    value: float
    old_value: float | None
    on: date
    time: time | None
    is_change: bool
    supersedes: str | None
    goes_back_to: str | None
    logged_at: datetime

    @property
    def key(self) -> Key:
        return self.athlete, self.chair, self.profile, self.setting


@dataclass(slots=True, kw_only=True)
class Run:
    """A value for as long as it stood."""

    value: float
    since: date
    change: str | None
    readings: list[date] = field(default_factory=list)


def random_history(random: Random, athlete: str) -> list[Said]:
    """Return the rows of one athlete: readings, changes, returns and corrections, in the order of typing.

    Few values and few days, so that readings that confirm, changes of one day and corrections of corrections meet.
    """
    rows: list[Said] = []
    for i in range(random.randint(1, 14)):
        is_change = random.random() < 0.6
        earlier = [row for row in rows if row.is_change == is_change]
        replaced = {row.supersedes for row in rows}
        open_rows = [row for row in earlier if row.id not in replaced]
        changes = [row for row in rows if row.is_change]
        corrects = random.choice(open_rows) if open_rows and random.random() < 0.25 else None
        undoes = random.choice(changes) if is_change and changes and random.random() < 0.3 else None
        old, new = random.sample((10.0, 12.0, 14.0), 2)
        if undoes is not None:
            old, new = undoes.value, undoes.old_value or new
        same_place = corrects is not None and random.random() < 0.8
        rows.append(
            Said(
                id=f"{athlete}-{i}",
                athlete=athlete,
                chair=corrects.chair if corrects and same_place else random.choice(CHAIRS),
                profile=corrects.profile if corrects and same_place else random.choice((1, 2)),
                setting=corrects.setting if corrects and same_place else random.choice(SETTINGS),
                value=new,
                old_value=old if is_change else None,
                on=START + timedelta(days=random.choice((0, 7, 29, 30, random.randrange(N_DAYS)))),
                time=time(random.randrange(24)) if is_change and random.random() < 0.4 else None,
                is_change=is_change,
                supersedes=corrects.id if corrects else None,
                goes_back_to=undoes.id if undoes else None,
                logged_at=datetime(2026, 1, 1) + timedelta(minutes=i),
            )
        )
    return rows


def replay(rows: list[Said], until: date = date.max) -> dict[Key, list[Run]]:
    """Return every value that stood, by setting, when the record is read row by row up to the end of a day."""
    replaced = {row.supersedes for row in rows}
    standing = [row for row in rows if row.id not in replaced]
    standing.sort(key=lambda r: (r.on, r.is_change, r.time is not None, r.time or time.min, r.logged_at, r.id))
    runs: dict[Key, list[Run]] = {}
    for row in standing:
        if row.on > until:
            continue
        mine = runs.setdefault(row.key, [])
        if row.is_change or not mine or mine[-1].value != row.value:
            mine.append(Run(value=row.value, since=row.on, change=row.id if row.is_change else None))
        if not row.is_change:
            mine[-1].readings.append(row.on)
    return runs


def in_days(rows: list[Said], first: date, last: date) -> Iterator[tuple[Key, Run]]:
    """Return the values that stood at some time from one day to another; for one day, those at its end."""
    for key, runs in replay(rows, last).items():
        for i, run in enumerate(runs):
            ends = runs[i + 1].since if i + 1 < len(runs) else None
            if ends is None or (first < last and (ends > first or run.since >= first)):
                yield key, run


def save(store: Store, rows: list[Said]) -> None:
    """Write the rows straight into the tables: the replay must hold for any record, not only for a tidy one."""
    for table in ("settings", "changes"):
        store.connection.execute(f"delete from {table}")
    _insert(store, "settings", "entry", SHARED, [row for row in rows if not row.is_change])
    _insert(store, "changes", "change", {**SHARED, **OF_CHANGES}, [row for row in rows if row.is_change])


def _insert(store: Store, table: str, id: str, columns: dict[str, str], rows: list[Said]) -> None:
    """Insert whole columns at once: a parameter a cell would take longer than everything else here."""
    value = "new_value" if table == "changes" else "value"
    names = [f'"{value if name == "value" else id if name == "id" else name}"' for name in columns]
    lists = [f"unnest(?::{kind}[])" for kind in columns.values()]
    cells: list[Any] = [[getattr(row, name) for row in rows] for name in columns]
    store.connection.execute(f"insert into {table} ({', '.join(names)}) select {', '.join(lists)}", cells)
