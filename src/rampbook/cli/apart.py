"""``rampbook settings --against``: what differs between two days, two profiles or two chairs, and by which changes."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Any

from rampbook.cli.output import figure, section, table
from rampbook.cli.standing import as_stood, in_one_line, sheet_heading, sheet_name, shown
from rampbook.cli.two_sheets import Asked, Pair, Row, read_pair
from rampbook.domain.cautions import cautions
from rampbook.domain.sheet_diff import (
    ChairScale,
    Difference,
    Stood,
    days_apart,
    not_comparable,
    sheets_apart,
    throw_not_comparable,
)
from rampbook.store import Store


def answer_apart(
    store: Store, asked: Asked, against: Sequence[str], *, list_all: bool
) -> tuple[list[str], dict[str, Any]]:
    """Return what differs between the sheet that is asked about and the one it is set against.

    Raises
    ------
    EntryError
        When it is not clear which two sheets are meant, or one of them is empty.
    """
    pair = read_pair(store, asked, against)
    scales = _scale(store, pair.left.chair), _scale(store, pair.right.chair)
    reason = not_comparable(*scales)
    document = {
        "athlete": asked.athlete,
        "left": _side_json(pair.left, scales[0]),
        "right": _side_json(pair.right, scales[1]),
        "compared": reason is None,
        "not_compared": reason,
    }
    if reason is not None:
        lines, rest = _cannot_say(pair, reason)
    else:
        lines, rest = _differences(pair, throw_not_comparable(*scales), list_all=list_all)
    lines += section("Before anything is changed:", cautions())
    return lines, document | rest | {"cautions": cautions()}


def _scale(store: Store, chair: str | None) -> ChairScale:
    found = store.rows("chair", chair)
    if not found:
        return ChairScale(chair=chair)
    return ChairScale(
        chair=chair,
        scale=found[0]["scale"],
        definition=found[0]["scale_definition"],
        throw=found[0]["throw_definition"],
    )


def _side_json(side: Asked, scale: ChairScale) -> dict[str, Any]:
    return {
        "on": side.when.first,
        "profile": side.profile,
        "chair": side.chair,
        "scale": scale.scale,
        "scale_definition": scale.definition,
        "throw_definition": scale.throw,
    }


def _key(pair: Pair) -> Callable[[Stood], Hashable]:
    """Return what puts two values beside each other: everything that does not tell the sheets apart."""
    kept = [name for name in ("chair", "profile", "setting") if name not in pair.varied]
    return lambda stood: tuple(getattr(stood, name) for name in kept)


def _compared(pair: Pair) -> list[Difference]:
    left, right = map(as_stood, pair.left_rows), map(as_stood, pair.right_rows)
    if pair.varied == ("when",):
        return days_apart(left, right, map(as_stood, pair.every))
    return sheets_apart(left, right, key=_key(pair))


def _differences(pair: Pair, throw: str | None, *, list_all: bool) -> tuple[list[str], dict[str, Any]]:
    """Return the differences as lines and as parts of the document; ``throw`` says why throw is left out."""
    rows = [row for row in _compared(pair) if throw is None or not row.setting.startswith("throw_")]
    back = [row for row in rows if row.there_and_back]
    same = [row for row in rows if row.is_same and not row.there_and_back]
    listed = [row for row in rows if list_all or not row.is_same]
    where = f" on {pair.left.when.name}" if "when" not in pair.varied else ""
    lines = [
        f"Settings of {pair.left.athlete}{where}: what differs between {pair.label(pair.left)} "
        f"and {pair.label(pair.right)}"
    ]
    if not any(not row.is_same for row in rows):
        lines += ["", "No value differs."]
    lines += _tables(pair, listed)
    lines += ["", *_left_out(len(same), back, list_all=list_all), *([throw] if throw else [])]
    document = {
        "differences": [_difference_json(pair, row) for row in listed],
        "there_and_back": [_difference_json(pair, row) for row in back],
        "same": len(same),
        "throw_not_compared": throw,
    }
    return lines, document


def _left_out(n_same: int, back: list[Difference], *, list_all: bool) -> list[str]:
    """Return what the table left out, in words."""
    hint = "" if list_all else " Add --all to list them."
    lines = [f"{n_same} value{' is' if n_same == 1 else 's are'} the same.{hint}"]
    for row in back:
        names = ", ".join(stood.change or f"a reading on {stood.since}" for stood in row.between)
        whose = sheet_name(row.between[0].chair, row.between[0].profile)
        lines.append(f"{row.setting} ({whose}) was changed in between and is back where it was: {names}.")
    return lines


def _tables(pair: Pair, rows: list[Difference]) -> list[str]:
    """Return one table for each chair and profile that the two sides share."""
    groups: dict[str, list[Difference]] = {}
    for row in rows:
        stood = row.left or row.right
        chair = stood.chair if stood and "chair" not in pair.varied else None
        profile = stood.profile if stood and "profile" not in pair.varied else None
        groups.setdefault(sheet_heading(chair, profile), []).append(row)
    headings = ("setting", pair.label(pair.left), pair.label(pair.right), "by")
    lines = []
    for name, mine in groups.items():
        lines += ["", *([name] if name else []), *table(headings, [c for row in mine for c in _cells(pair, row)])]
    return lines


def _cells(pair: Pair, row: Difference) -> list[tuple[str, str, str, str]]:
    """Return one setting as lines of the table, one for each thing that came between."""
    left, right = (figure(side.value) if side else "not on the sheet" for side in (row.left, row.right))
    came = [_came(pair, row, stood) for stood in row.between] or [""]
    return [(row.setting, left, right, came[0]), *(("", "", "", line) for line in came[1:])]


def _came(pair: Pair, row: Difference, stood: Stood) -> str:
    """Return what set a value; where the sheets are not two days of one, also on which side."""
    line = in_one_line(pair.row_of(stood))
    if pair.varied == ("when",):
        return line
    return f"{pair.label(pair.left if stood is row.left else pair.right)}: {line}"


def _difference_json(pair: Pair, row: Difference) -> dict[str, Any]:
    """Return one setting on two sheets as the JSON answer gives it."""
    stood = row.left or row.right
    shared = {
        name: getattr(stood, name) for name in ("chair", "profile") if stood and name not in pair.varied
    }
    sides = {
        name: None if side is None else {"value": side.value, "since": side.since, "change": side.change}
        for name, side in (("left", row.left), ("right", row.right))
    }
    between = [shown(pair.row_of(stood)) for stood in row.between]
    return shared | {"setting": row.setting, "same": row.is_same} | sides | {"between": between}


def _cannot_say(pair: Pair, reason: str) -> tuple[list[str], dict[str, Any]]:
    """Return what can be said of two chairs whose numbers are not on one scale."""
    left, right = ({row["setting"] for row in rows} for rows in (pair.left_rows, pair.right_rows))
    names = pair.label(pair.left), pair.label(pair.right)
    rest: dict[str, Any] = {
        "differences": [],
        "on_both": sorted(left & right),
        "only_left": sorted(left - right),
        "only_right": sorted(right - left),
        "last_change": {
            name: shown(last) if (last := _last_change(rows)) else None
            for name, rows in (("left", pair.left_rows), ("right", pair.right_rows))
        },
    }
    points = [
        f"On both sheets: {_listed(rest['on_both'])}",
        f"Only on the sheet of {names[0]}: {_listed(rest['only_left'])}",
        f"Only on the sheet of {names[1]}: {_listed(rest['only_right'])}",
    ]
    for name, rows in zip(names, (pair.left_rows, pair.right_rows), strict=True):
        last = _last_change(rows)
        points.append(
            f"Last change that stands on {name}: "
            + (f"{last['setting']} of profile {last['profile']}, {in_one_line(last)}" if last else "none is logged")
        )
    points.append(
        "What carries over between chairs is what was measured (time to speed, stopping distance, turn rate), "
        "and what the athlete wants. Measure it on both."
    )
    lines = [
        f"The numbers of {names[0]} and {names[1]} are not compared: {reason}.",
        "Numbers of two scales are never compared.",
        *section("What can be said:", points),
        "",
        f"Each sheet by itself: rampbook settings {pair.left.athlete} --chair CODE. "
        "The scale of a chair stands in the table chairs.",
    ]
    return lines, rest


def _listed(names: list[str]) -> str:
    return ", ".join(names) or "none"


def _last_change(rows: list[Row]) -> Row | None:
    """Return the latest change that still stands on a sheet."""
    changed = [row for row in rows if row["change"] is not None]
    return max(changed, key=lambda row: (row["since"], row["change"])) if changed else None
