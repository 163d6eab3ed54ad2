"""Checking a word against a closed list, with a message that says which words there are."""

from __future__ import annotations

from collections.abc import Iterable

from rampbook.errors import EntryError


def one_of(value: str, words: Iterable[str], *, field: str) -> str:
    """Return the value when it is one of the words.

    Raises
    ------
    EntryError
        When it is not; the message lists the words.
    """
    known = tuple(words)
    if value not in known:
        raise EntryError(
            f'{field} is "{value}": it must be one of {", ".join(known)}.', field=field, value=value
        )
    return value
