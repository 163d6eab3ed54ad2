"""Questions about the whole store that are asked from more than one place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rampbook.domain.settings import broken_rules
from rampbook.store.catalogue import read_catalogue
from rampbook.store.connection import Store
from rampbook.store.sqlfiles import sql_files

_SHOWN = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreProblem:
    """One check that found something: its name, what it means, how many rows, and the first of them."""

    check: str
    meaning: str
    n: int
    rows: tuple[dict[str, Any], ...]

    def to_dict(self) -> dict[str, Any]:
        """Return the parts as the JSON of ``check`` names them."""
        rows = [{name: _plain(value) for name, value in row.items()} for row in self.rows]
        return {"check": self.check, "meaning": self.meaning, "n": self.n, "rows": rows}

    def __str__(self) -> str:
        shown = "; ".join(
            ", ".join(f"{name} {value}" for name, value in row.items() if value is not None) for row in self.rows
        )
        more = f"; and {self.n - len(self.rows)} more" if self.n > len(self.rows) else ""
        return f"{self.meaning}: {shown}{more}"


def check_store(store: Store) -> list[StoreProblem]:
    """Return what is wrong with the record; nothing in it means that it is sound.

    Every file in ``sql/checks`` is asked, and every sheet as it stands now is held to the rules of the settings.
    """
    found = []
    for file in sql_files("checks"):
        text = file.read_text(encoding="utf-8")
        rows = store.select(text)
        if rows:
            meaning = text.partition("\n")[0].removeprefix("-- One row per ").rstrip(".")
            found.append(StoreProblem(check=file.stem, meaning=meaning, n=len(rows), rows=tuple(rows[:_SHOWN])))
    broken = _sheets_that_break_a_rule(store)
    if broken:
        found.append(
            StoreProblem(
                check="sheet_breaks_a_rule",
                meaning="sheet on which two settings break a rule",
                n=len(broken),
                rows=tuple(broken[:_SHOWN]),
            )
        )
    return found


def _sheets_that_break_a_rule(store: Store) -> list[dict[str, Any]]:
    """Return one row for each rule that a sheet breaks as it stands now."""
    catalogue = read_catalogue(store.connection)
    sheets: dict[tuple[str, str | None, int], dict[str, float]] = {}
    for row in store.rows("sheets_now"):
        sheets.setdefault((row["athlete"], row["chair"], row["profile"]), {})[row["setting"]] = row["value"]
    return [
        {"athlete": athlete, "chair": chair, "profile": profile, "rule": rule.text}
        for (athlete, chair, profile), sheet in sheets.items()
        for rule in broken_rules(sheet, catalogue)
    ]


def _plain(value: Any) -> Any:
    """Return a value that JSON can hold."""
    return value if value is None or isinstance(value, str | int | float) else str(value)
