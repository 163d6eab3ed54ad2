"""The two sheets that are compared: which ones are meant, and what stands on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from rampbook.cli.inputs import whole
from rampbook.cli.standing import as_stood, sheet_name, stood_rows
from rampbook.cli.stretch import Stretch, stretch
from rampbook.domain.sheet_diff import Stood
from rampbook.errors import EntryError
from rampbook.store import Store

Row = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which values of an athlete are asked about; None stands for every chair, profile or setting."""

    athlete: str
    when: Stretch
    profile: int | None = None
    chair: str | None = None
    setting: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """The two sheets that are compared, and every value that a comparison of days needs between them."""

    left: Asked
    right: Asked
    left_rows: list[Row]
    right_rows: list[Row]
    every: list[Row]

    @property
    def varied(self) -> tuple[str, ...]:
        """What tells the two sheets apart: the day, the profile, the chair."""
        return tuple(n for n in ("when", "chair", "profile") if getattr(self.left, n) != getattr(self.right, n))

    def label(self, side: Asked) -> str:
        """How a side is called: by what tells it apart."""
        names = {"when": side.when.name, "profile": f"profile {side.profile}", "chair": f"chair {side.chair}"}
        return ", ".join(names[name] for name in self.varied)

    def row_of(self, stood: Stood) -> Row:
        """Return the row that a value came from."""
        return next(row for row in (*self.every, *self.left_rows, *self.right_rows) if as_stood(row) == stood)


def read_pair(store: Store, asked: Asked, against: Sequence[str]) -> Pair:
    """Return the two sheets; of two days the earlier one stands on the left.

    Raises
    ------
    EntryError
        When it is not clear which two sheets are meant, or one of them is empty.
    """
    parts = _parts(against)
    other = replace(asked, **parts)
    for name in ("profile", "chair"):
        if name in parts and getattr(asked, name) is None:
            asked = replace(asked, **{name: _the_other(store, asked, name, parts[name])})
            # What is found for one side holds for the other too, unless it was named.
            other = replace(asked, **parts)
    if asked == other:
        raise EntryError(
            "Both sides are the same sheet: there is nothing to compare. "
            "Give --against another day, profile=N or chair=CODE.",
            field="--against",
        )
    left, right = sorted((asked, other), key=lambda side: side.when.first) if "when" in parts else (asked, other)
    if (left.profile, left.chair) != (right.profile, right.chair):
        return Pair(
            left=left, right=right, left_rows=_sheet(store, left), right_rows=_sheet(store, right), every=[]
        )
    every = _read(store, left, Stretch(first=left.when.first, last=right.when.last))
    on_days = (_known(store, side, _last(every, side.when.first)) for side in (left, right))
    return Pair(left=left, right=right, left_rows=next(on_days), right_rows=next(on_days), every=every)


def _last(rows: list[Row], day: date) -> list[Row]:
    """Return the values at the end of a day, from rows that hold each setting's values oldest first."""
    return list({(r["chair"], r["profile"], r["setting"]): r for r in rows if r["since"] <= day}.values())


def _parts(against: Sequence[str]) -> dict[str, Any]:
    """Return what the other sheet differs in, as typed.

    Raises
    ------
    EntryError
        When a part is given twice, or is neither a day, ``profile=N`` nor ``chair=CODE``.
    """
    parts: dict[str, Any] = {}
    for text in against:
        name, value = _part(text)
        if name in parts:
            raise EntryError(f'--against gives two of one kind; the second is "{text}". Give one.', field="--against")
        parts[name] = value
    return parts


def _part(text: str) -> tuple[str, Any]:
    name, equals, value = (part.strip() for part in text.partition("="))
    if equals and name == "profile":
        return name, whole(value, field="--against profile", saving=False)
    if equals and name == "chair" and value:
        return name, value
    if equals:
        raise EntryError(
            f'--against is "{text}": write a day as YYYY-MM-DD, profile=N or chair=CODE.',
            field="--against",
            value=text,
        )
    when = stretch(text, field="--against")
    if not when.is_day:
        raise EntryError(
            f'--against is the month "{text}": a comparison needs one day, for example {when.last}.',
            field="--against",
            value=text,
        )
    return "when", when


def _the_other(store: Store, asked: Asked, name: str, named: Any) -> Any:
    """Return the only other profile or chair of that day.

    Raises
    ------
    EntryError
        When there is none, or more than one.
    """
    rows = stood_rows(store, asked.athlete, asked.when.first, profile=asked.profile, chair=asked.chair)
    others = sorted({row[name] for row in rows} - {named, None})
    if len(others) == 1:
        return others[0]
    there = f"There are {', '.join(map(str, others))}" if others else "There is no other"
    raise EntryError(
        f"Which {name} is to be compared with {name} {named}? {there} on {asked.when.name}. Say which with --{name}.",
        field=f"--{name}",
    )


def _read(store: Store, side: Asked, when: Stretch) -> list[Row]:
    return stood_rows(
        store, side.athlete, when.first, when.last, profile=side.profile, chair=side.chair, setting=side.setting
    )


def _sheet(store: Store, side: Asked) -> list[Row]:
    return _known(store, side, _read(store, side, side.when))


def _known(store: Store, side: Asked, rows: list[Row]) -> list[Row]:
    """Return the values of one side.

    Raises
    ------
    EntryError
        When there are none; the message names the sheets there are.
    """
    if rows:
        return rows
    ever = stood_rows(store, side.athlete, Stretch.ever().first, Stretch.ever().last)
    first: dict[str, date] = {}
    for row in ever:
        name = sheet_name(row["chair"], row["profile"])
        first[name] = min(first.get(name, row["since"]), row["since"])
    known = "; ".join(f"{name} from {day}" for name, day in first.items()) or "none"
    what = sheet_name(side.chair, side.profile)
    raise EntryError(
        f"Nothing stood on the sheet of {side.athlete}"
        + (f", {what}," if what else "")
        + f" on {side.when.name}{f' for {side.setting}' if side.setting else ''}. Sheets there are: {known}.",
        field="--against",
    )
