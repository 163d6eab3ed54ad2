"""What the description of a table that can be loaded holds: its columns, its rules, and what names a row."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

ColumnKind = Literal["code", "text", "name", "number", "whole", "flag", "date", "time", "choice"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    name : str
        The contract's name.
    kind : str
        How a cell is read: ``code`` (text without spaces), ``text``, ``name`` (small letters and underscores),
        ``number``, ``whole`` number, ``flag`` (0 or 1), ``date``, ``time`` of day, ``choice``.
    required : bool
        Whether it may not be empty.
    low, high, above : float, optional
        Smallest and largest value, both included; ``above`` is a lower bound that is not included.
    choices : tuple of str
        The values that a choice may take.
    stands_for_empty : str, optional
        What an empty cell means.
    """

    name: str
    kind: ColumnKind = "text"
    required: bool = False
    low: float | None = None
    high: float | None = None
    above: float | None = None
    choices: tuple[str, ...] = ()
    stands_for_empty: str | None = None

    @property
    def expected(self) -> str:
        """What the value must be, in words."""
        if self.kind == "choice":
            return f"one of {', '.join(self.choices)}"
        if self.kind in ("number", "whole"):
            return ("a whole number" if self.kind == "whole" else "a number") + self._range
        words = {
            "flag": "yes or no (1 or 0)",
            "date": "a date such as 2026-03-05",
            "time": "a time of day such as 18:30",
            "code": "a code without spaces, not a name",
        }
        return words.get(self.kind, "filled in")

    @property
    def _range(self) -> str:
        if self.above is not None:
            return f" above {self.above:g}"
        if self.low is not None and self.high is not None:
            return f" from {self.low:g} to {self.high:g}"
        return f" of {self.low:g} or more" if self.low is not None else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowRule:
    """A rule between columns of one row; ``broken`` is an SQL condition on the typed columns."""

    column: str
    broken: str
    reason: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TableSpec:
    """One table that can be loaded.

    Attributes
    ----------
    name : str
        Name of the table, its file and its sheet.
    id : str
        The column that names a row.
    key : tuple of str
        The columns from which an id is made when the row has none.
    columns : tuple of Column
        Columns of the contract, without ``id`` where that is ``entry``.
    rules : tuple of RowRule
        Rules between the columns of one row.
    by_practice : bool
        Whether a row belongs to a practice, named by id or by athlete and date.
    needs : tuple of str
        Columns by which a file without a telling name is recognised.
    words : dict
        Other headings, after spelling is evened out, and the column they mean here.
    """

    name: str
    id: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]
    needs: tuple[str, ...]
    rules: tuple[RowRule, ...] = ()
    by_practice: bool = False
    words: dict[str, str] = field(default_factory=dict)

    @property
    def all_columns(self) -> tuple[Column, ...]:
        """Every column a file may hold, with the id, the date of a row's practice, and what it corrects."""
        extra = [Column(name="supersedes", kind="code")]
        if self.id == "entry":
            extra.insert(0, Column(name="entry", kind="code"))
        if self.by_practice:
            extra.append(Column(name="on", kind="date"))
        return (*self.columns, *extra)

    @property
    def stored(self) -> tuple[str, ...]:
        """The columns that are written to the table, without ``extra`` and ``logged_at``."""
        return tuple(c.name for c in self.all_columns if not (self.by_practice and c.name == "on"))
