"""Entries typed one at a time, several tables at once: all of it is saved, or nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from rampbook.store.connection import Store
from rampbook.store.load.run import load_rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """What came of entries: rows added and rows that stood there already, and the ids, by table."""

    added: dict[str, int] = field(default_factory=dict)
    already_there: dict[str, int] = field(default_factory=dict)
    ids: dict[str, list[str]] = field(default_factory=dict)

    @property
    def n_added(self) -> int:
        """How many rows were added in all."""
        return sum(self.added.values())

    def to_dict(self) -> dict[str, Any]:
        """Return the parts under the names that ``load`` uses, with the ids beside them."""
        return {"loaded": self.added, "already_there": self.already_there, "ids": self.ids}


def record_rows(store: Store, tables: Mapping[str, Sequence[Mapping[str, Any]]]) -> Saved:
    """Save rows of several tables, in the order given, and return what came of them.

    Raises
    ------
    EntryError
        When a row cannot be used, or is there already under its id with other content.
    SettingBlocked
        When a rule of the settings stands in the way of a change.
    """
    saved = Saved()
    # For a handful of rows, improving the plan of a statement takes longer than running it as written.
    # After an error it stays so until the store is closed: slower for large tables, never wrong.
    store.connection.execute("pragma disable_optimizer")
    with store.transaction():
        for table, rows in tables.items():
            if not rows:
                continue
            before = _n_rows(store, table)
            saved.ids[table] = load_rows(store, table, rows)
            saved.added[table] = _n_rows(store, table) - before
            saved.already_there[table] = len(rows) - saved.added[table]
    store.connection.execute("pragma enable_optimizer")
    return saved


def _n_rows(store: Store, table: str) -> int:
    return int(store.select(f'select count(*) as n from "{table}"')[0]["n"])
