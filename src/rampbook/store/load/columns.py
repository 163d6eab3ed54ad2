"""The tables that can be loaded: their columns, what a value may be, and which columns name a row."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from rampbook.domain.consent import CONSENT_SCOPES, ROLES
from rampbook.domain.events import EVENTS
from rampbook.domain.outcomes import RATING_GIVERS

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


_ATHLETE = Column(name="athlete", kind="code", required=True)
_PROFILE = Column(name="profile", kind="whole", low=0)
_A_PROFILE = Column(name="profile", kind="whole", low=0, required=True)
_PRACTICE = Column(name="practice", kind="code")
_ON = Column(name="on", kind="date", required=True)
_TIME = Column(name="time", kind="time")
_SETTING = Column(name="setting", kind="name", required=True)
_OUTCOME = Column(name="outcome", required=True)
_AGAIN = "Correct the cell and load the file again."


def _positive(name: str) -> Column:
    return Column(name=name, kind="number", above=0)


def _percent(name: str) -> Column:
    return Column(name=name, kind="number", low=0, high=100)


def _rating(name: str, *, required: bool = False) -> Column:
    return Column(name=name, kind="number", low=0, high=10, required=required)


def _count(name: str, *, low: float = 0, required: bool = False) -> Column:
    return Column(name=name, kind="whole", low=low, required=required)


_SPECS = (
    TableSpec(
        name="athletes",
        id="entry",
        key=("athlete",),
        needs=("athlete", "consent"),
        columns=(
            _ATHLETE,
            Column(name="birth_year", kind="whole", low=1900, high=2100),
            Column(name="consent", kind="choice", choices=tuple(CONSENT_SCOPES)),
            Column(name="consent_on", kind="date"),
        ),
    ),
    TableSpec(
        name="chairs",
        id="entry",
        key=("chair",),
        needs=("chair", "scale"),
        columns=(
            Column(name="chair", kind="code", required=True),
            Column(name="athlete", kind="code"),
            Column(name="scale", kind="code"),
            Column(name="scale_definition"),
        ),
    ),
    TableSpec(
        name="drills",
        id="entry",
        key=("drill", "layout"),
        needs=("drill", "layout", "since"),
        columns=(
            Column(name="drill", required=True),
            Column(name="layout"),
            Column(name="since", kind="date"),
            Column(name="description"),
        ),
    ),
    TableSpec(
        name="catalogue",
        id="entry",
        key=("setting",),
        needs=("setting", "low", "high"),
        columns=(
            _SETTING,
            Column(name="unit", stands_for_empty="1"),
            Column(name="low", kind="number", required=True),
            Column(name="high", kind="number", required=True),
            Column(name="meaning"),
        ),
        rules=(
            RowRule(
                column="high",
                broken="high <= low",
                reason='high is "{value}": it must be above low',
                remedy=_AGAIN,
            ),
        ),
    ),
    TableSpec(
        name="settings",
        id="entry",
        key=("athlete", "chair", "profile", "setting", "on"),
        needs=("athlete", "profile", "setting", "value", "on"),
        columns=(
            _ATHLETE,
            Column(name="chair", kind="code"),
            _A_PROFILE,
            _SETTING,
            Column(name="value", kind="number", required=True),
            _ON,
        ),
    ),
    TableSpec(
        name="practices",
        id="practice",
        key=("athlete", "on", "time"),
        needs=("athlete", "on", "surface"),
        columns=(
            _PRACTICE,
            _ATHLETE,
            _ON,
            _TIME,
            _positive("minutes"),
            Column(name="surface"),
            _percent("battery_percent"),
            _percent("dial_percent"),
            _rating("fatigue"),
            _rating("pain"),
        ),
    ),
    TableSpec(
        name="changes",
        id="change",
        needs=("athlete", "setting", "new_value", "on"),
        key=("athlete", "chair", "profile", "setting", "on", "time", "new_value"),
        columns=(
            Column(name="change", kind="code"),
            _ATHLETE,
            Column(name="chair", kind="code"),
            _A_PROFILE,
            _SETTING,
            Column(name="old_value", kind="number"),
            Column(name="new_value", kind="number", required=True),
            _ON,
            _TIME,
            Column(name="role", kind="choice", choices=tuple(ROLES)),
            Column(name="reason"),
            Column(name="planned", kind="flag"),
            Column(name="goes_back_to", kind="code"),
        ),
        rules=(
            RowRule(
                column="new_value",
                broken="new_value = old_value",
                reason='new_value is "{value}": that is the old value too, so nothing was changed',
                remedy="Write the value it was changed to, or leave the row out.",
            ),
        ),
    ),
    TableSpec(
        name="attempts",
        id="attempt",
        needs=("drill", "seconds"),
        by_practice=True,
        key=(
            "practice",
            "athlete",
            "profile",
            "drill",
            "layout",
            "seconds",
            "finished",
            "limit_s",
            "touches",
            "timer",
        ),
        columns=(
            Column(name="attempt", kind="code"),
            _PRACTICE,
            _ATHLETE,
            _PROFILE,
            Column(name="drill", required=True),
            Column(name="layout"),
            _positive("seconds"),
            Column(name="finished", kind="flag"),
            _positive("limit_s"),
            _count("touches"),
            Column(name="timer"),
        ),
        rules=(
            RowRule(
                column="seconds",
                broken="seconds is null and finished is distinct from 0",
                reason="seconds is empty and finished is not 0: an attempt needs its time, or must say that it was not "
                "finished",
                remedy="Fill in the seconds, or write 0 in finished and the limit in limit_s.",
            ),
        ),
        words={"time": "seconds", "drill_time": "seconds", "time_s": "seconds", "limit": "limit_s"},
    ),
    TableSpec(
        name="counts",
        id="entry",
        key=("practice", "profile", "outcome"),
        needs=("outcome", "count"),
        by_practice=True,
        columns=(
            _PRACTICE,
            _ATHLETE,
            _PROFILE,
            _OUTCOME,
            _count("count", required=True),
            _positive("minutes"),
        ),
    ),
    TableSpec(
        name="ratings",
        id="entry",
        key=("practice", "profile", "outcome", "by"),
        needs=("outcome", "rating"),
        by_practice=True,
        columns=(
            _PRACTICE,
            _ATHLETE,
            _PROFILE,
            _OUTCOME,
            _rating("rating", required=True),
            Column(name="by", kind="choice", choices=tuple(RATING_GIVERS)),
        ),
    ),
    TableSpec(
        name="tries",
        id="entry",
        key=("practice", "profile", "outcome"),
        needs=("outcome", "successes", "tries"),
        by_practice=True,
        columns=(
            _PRACTICE,
            _ATHLETE,
            _PROFILE,
            _OUTCOME,
            _count("successes", required=True),
            _count("tries", low=1, required=True),
        ),
        rules=(
            RowRule(
                column="successes",
                broken="successes > tries",
                reason='successes is "{value}": there cannot be more successes than tries',
                remedy=_AGAIN,
            ),
        ),
    ),
    TableSpec(
        name="events",
        id="entry",
        key=("athlete", "on", "time", "event", "note"),
        needs=("athlete", "on", "event"),
        columns=(
            _ATHLETE,
            _ON,
            _TIME,
            Column(name="event", kind="choice", choices=tuple(EVENTS), required=True),
            Column(name="note"),
        ),
    ),
)

SPECS = {spec.name: spec for spec in _SPECS}
"""Every table that can be loaded, in the order in which they are loaded: what is referred to comes first."""
