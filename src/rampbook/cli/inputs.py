"""Reading what was typed: numbers, days, counts and pairs, each with a message that says what is expected."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import date

from rampbook.errors import EntryError

# What an entry adds to a refusal; a question saves nothing anyway and leaves it out.
_UNSAVED = " Nothing was saved."
# The store keeps whole numbers in 32 bits.
_LARGEST_WHOLE = 2**31 - 1
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)")


def number(text: str, *, field: str, saving: bool = True) -> float:
    """Return a number typed with a decimal point or a decimal comma; ``saving`` is False in a question.

    Raises
    ------
    EntryError
        When it is neither; signs for thousands are not guessed at.

    Examples
    --------
    >>> number("12,4", field="--seconds")
    12.4
    """
    typed = text.strip()
    if not _NUMBER.fullmatch(typed):
        raise EntryError(
            f'{field} is "{text}": it must be a number such as 12.4 or 12,4.' + _UNSAVED * saving,
            field=field,
            value=text,
        )
    value = float(typed.replace(",", "."))
    if not math.isfinite(value):
        raise EntryError(
            f'{field} is "{text}": that is too large to be a number.' + _UNSAVED * saving,
            field=field,
            value=text,
        )
    return value


def maybe_number(text: str | None, *, field: str) -> float | None:
    """Return a number, or None when nothing was typed."""
    return None if text is None else number(text, field=field)


def whole(text: str, *, field: str, saving: bool = True) -> int:
    """Return a whole number, 0 or above.

    Raises
    ------
    EntryError
        When it is anything else.
    """
    if not text.strip().isdecimal():
        raise EntryError(
            f'{field} is "{text}": it must be a whole number, 0 or above.' + _UNSAVED * saving,
            field=field,
            value=text,
        )
    if int(text) > _LARGEST_WHOLE:
        raise EntryError(
            f'{field} is "{text}": that is too large. It must be a whole number, 0 or above.' + _UNSAVED * saving,
            field=field,
            value=text,
        )
    return int(text)


def maybe_whole(text: str | None, *, field: str, saving: bool = True) -> int | None:
    """Return a whole number, or None when nothing was typed."""
    return None if text is None else whole(text, field=field, saving=saving)


def words(text: str, *, field: str) -> str:
    """Return what was written in words.

    Raises
    ------
    EntryError
        When nothing was.
    """
    if not text.strip():
        raise EntryError(f"{field} is empty: a few words are enough. Nothing was saved.", field=field, value=text)
    return text


def day(text: str | None, *, field: str = "--on", saving: bool = True) -> date:
    """Return a day typed as YYYY-MM-DD; today when nothing was typed.

    Raises
    ------
    EntryError
        When it is written otherwise, or there is no such day.
    """
    if text is None:
        return date.today()
    try:
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text.strip()):
            raise ValueError
        return date.fromisoformat(text.strip())
    except ValueError:
        raise EntryError(
            f'{field} is "{text}": write a day that exists as YYYY-MM-DD, for example 2026-03-09.' + _UNSAVED * saving,
            field=field,
            value=text,
        ) from None


def future_warning(on: date) -> list[str]:
    """Return a line of warning when a day has not come yet."""
    return [f"Note: {on} is in the future. Is that meant?"] if on > date.today() else []


def pair(text: str, *, field: str, saving: bool = True) -> tuple[str, str]:
    """Return the two parts of ``NAME=VALUE``.

    Raises
    ------
    EntryError
        When there is no equals sign, or nothing on one side of it.
    """
    name, _, value = (part.strip() for part in text.partition("="))
    if not name or not value:
        raise EntryError(
            f'{field} is "{text}": write NAME=VALUE, for example forward_speed_max=60.' + _UNSAVED * saving,
            field=field,
            value=text,
        )
    return name, value


def pairs(texts: Iterable[str], *, field: str, saving: bool = True) -> dict[str, str]:
    """Return ``NAME=VALUE`` pairs by name.

    Raises
    ------
    EntryError
        When a name comes twice.
    """
    found: dict[str, str] = {}
    for text in texts:
        name, value = pair(text, field=field, saving=saving)
        if name in found:
            raise EntryError(
                f"{field} gives {name} twice, {found[name]} and {value}: give it once." + _UNSAVED * saving,
                field=field,
                value=name,
            )
        found[name] = value
    return found


def share(text: str, *, field: str) -> tuple[int, int]:
    """Return successes and tries typed as ``7/10``.

    Raises
    ------
    EntryError
        When it is written otherwise.
    """
    successes, slash, tries = text.partition("/")
    if not slash:
        raise EntryError(
            f'{field} is "{text}": write successes/tries, for example passes=7/10. Nothing was saved.',
            field=field,
            value=text,
        )
    return whole(successes, field=field), whole(tries, field=field)
