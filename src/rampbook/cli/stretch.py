"""Reading what was typed for a stretch of time: one day, or a whole month."""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date

from rampbook.cli.inputs import day
from rampbook.errors import EntryError

_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of days, first and last included."""

    first: date
    last: date

    @classmethod
    def ever(cls) -> Stretch:
        """Return every day there can be in a record."""
        return cls(first=date.min, last=date.max)

    @property
    def is_day(self) -> bool:
        """Whether it is one day."""
        return self.first == self.last

    @property
    def name(self) -> str:
        """How it is typed."""
        return self.first.isoformat() if self.is_day else f"{self.first:%Y-%m}"

    @property
    def words(self) -> str:
        """The month in words, the same in every locale; the day as it is typed."""
        return self.name if self.is_day else f"{_MONTHS[self.first.month - 1]} {self.first.year}"


def stretch(text: str | None, *, field: str = "--on") -> Stretch:
    """Return a day typed as YYYY-MM-DD, or the days of a month typed as YYYY-MM; today when nothing was typed.

    Raises
    ------
    EntryError
        When it is written otherwise, or there is no such day or month.

    Examples
    --------
    >>> stretch("2025-10").last, stretch("2025-10").words
    (datetime.date(2025, 10, 31), 'October 2025')
    """
    month = re.fullmatch(r"\s*(\d{4})-(\d{2})\s*", text or "")
    if month and 1 <= int(month[2]) <= 12 and int(month[1]) >= 1:
        year, number = int(month[1]), int(month[2])
        return Stretch(first=date(year, number, 1), last=date(year, number, monthrange(year, number)[1]))
    try:
        only = day(text, field=field, saving=False)
    except EntryError as error:
        raise EntryError(
            f"{error} A whole month is written YYYY-MM, for example 2026-03.", field=field, value=text
        ) from None
    return Stretch(first=only, last=only)
