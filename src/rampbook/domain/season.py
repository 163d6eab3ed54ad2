"""A season: how it is named and which days it holds."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from rampbook.errors import EntryError

# August to July, so that a season that begins in autumn and ends in spring is whole (our choice).
FIRST_MONTH = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """A stretch of days, both ends included, and its name."""

    name: str
    from_on: date
    to_on: date


def season_of(day: date) -> Season:
    """Return the season that holds a day.

    Examples
    --------
    >>> season_of(date(2026, 3, 9)).name
    '2025-26'
    """
    year = day.year if day.month >= FIRST_MONTH else day.year - 1
    return _from_year(year)


def parse_season(text: str) -> Season:
    """Return the season that "2025-26" or "2025-09-01..2026-05-31" names.

    Raises
    ------
    EntryError
        When it names none.

    Examples
    --------
    >>> parse_season("2025-26").to_on
    datetime.date(2026, 7, 31)
    """
    years = re.fullmatch(r"\s*(\d{4})\s*[-/]\s*(\d{2}|\d{4})\s*", text)
    if years and (int(years[1]) + 1) % 100 == int(years[2]) % 100:
        return _from_year(int(years[1]))
    days = re.fullmatch(r"\s*(\d{4}-\d{2}-\d{2})\s*\.\.\s*(\d{4}-\d{2}-\d{2})\s*", text)
    if days:
        return _from_days(days[1], days[2], text)
    raise EntryError(
        f'The season is "{text}": write it as 2025-26, or as two days, 2025-09-01..2026-05-31.',
        field="season",
        value=text,
    )


def _from_year(year: int) -> Season:
    first, last = date(year, FIRST_MONTH, 1), date(year + 1, FIRST_MONTH - 1, 31)
    return Season(name=f"{year}-{(year + 1) % 100:02d}", from_on=first, to_on=last)


def _from_days(first: str, last: str, text: str) -> Season:
    try:
        from_on, to_on = date.fromisoformat(first), date.fromisoformat(last)
    except ValueError as error:
        raise EntryError(
            f'The season is "{text}": one of its days does not exist. Write real days as YYYY-MM-DD.',
            field="season",
            value=text,
        ) from error
    if to_on < from_on:
        raise EntryError(
            f'The season is "{text}": it ends before it begins. Put the earlier day first.',
            field="season",
            value=text,
        )
    return Season(name=f"{from_on}..{to_on}", from_on=from_on, to_on=to_on)
