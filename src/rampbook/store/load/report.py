"""What came of a load: rows in, rows that were there already, and rows set aside."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """One row that could not be used: where it stood, why, and what to do. It is kept as it was typed."""

    file: str
    row: int | None
    column: str | None
    value: str | None
    reason: str
    remedy: str

    def to_dict(self) -> dict[str, Any]:
        """Return the parts as the JSON of ``load`` names them."""
        return {
            "file": self.file,
            "row": self.row,
            "column": self.column,
            "value": self.value,
            "reason": self.reason,
            "remedy": self.remedy,
        }

    def __str__(self) -> str:
        place = self.file if self.row is None else f"{self.file} row {self.row}"
        return f"{place}: {self.reason}. {self.remedy}"


@dataclass(slots=True, kw_only=True)
class LoadReport:
    """The outcome of one load.

    Attributes
    ----------
    loaded, already_there : dict of str to int
        Rows by table.
    set_aside : list of SetAside
        Rows that could not be used, by file and row.
    kept_columns : dict of str to list of str
        Headings that Rampbook does not know, by file; their cells are kept with the rows.
    practices_made : int
        Practices made because a row named only its athlete and day.
    dated_ahead : dict of str to date
        Practices that these files speak of and that are dated after today, by id.
    """

    loaded: dict[str, int] = field(default_factory=dict)
    already_there: dict[str, int] = field(default_factory=dict)
    set_aside: list[SetAside] = field(default_factory=list)
    kept_columns: dict[str, list[str]] = field(default_factory=dict)
    practices_made: int = 0
    dated_ahead: dict[str, date] = field(default_factory=dict)

    def to_dict(self) -> dict[str, Any]:
        """Return the report as the JSON of ``rampbook load``."""
        return {
            "loaded": self.loaded,
            "already_there": self.already_there,
            "set_aside": [row.to_dict() for row in self.set_aside],
            "kept_columns": self.kept_columns,
            "practices_made": self.practices_made,
            "dated_ahead": [{"practice": practice, "on": on} for practice, on in self.dated_ahead.items()],
        }
