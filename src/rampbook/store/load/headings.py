"""Which row of a sheet holds the headings, which column each one means, and which table the sheet is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from rampbook.store.load.columns import SPECS, TableSpec

Cells = Sequence[str | None]

_WORDS = {
    "athlete_code": "athlete",
    "athlete_id": "athlete",
    "player": "athlete",
    "player_code": "athlete",
    "code": "athlete",
    "driver": "athlete",
    "date": "on",
    "day": "on",
    "practice_date": "on",
    "session_date": "on",
    "chair_code": "chair",
    "chair_id": "chair",
    "wheelchair": "chair",
    "drive_profile": "profile",
    "profile_number": "profile",
    "old": "old_value",
    "from": "old_value",
    "value_before": "old_value",
    "new": "new_value",
    "to": "new_value",
    "value_after": "new_value",
    "why": "reason",
    "who": "role",
    "changed_by": "role",
    "secs": "seconds",
    "sec": "seconds",
    "time_limit": "limit_s",
    "limit_seconds": "limit_s",
    "limit": "limit_s",
    "was_finished": "finished",
    "complete": "finished",
    "completed": "finished",
    "touched": "touches",
    "cone_touches": "touches",
    "cones_touched": "touches",
    "timed_by": "timer",
    "rated_by": "by",
    "length": "minutes",
    "duration": "minutes",
    "battery": "battery_percent",
    "dial": "dial_percent",
    "dial_position": "dial_percent",
    "floor": "surface",
    "born": "birth_year",
    "year_of_birth": "birth_year",
    "consent_date": "consent_on",
    "consent_given_on": "consent_on",
    "corrects": "supersedes",
    "attempt_id": "attempt",
    "practice_id": "practice",
    "change_id": "change",
    "session": "practice",
    "start": "time",
    "start_time": "time",
    "number_of_tries": "tries",
    "hits": "successes",
    "notes": "note",
    "comment": "note",
    "remarks": "note",
}
_UNITS = re.compile(r"\([^)]*\)|\[[^\]]*\]|[?:*#]")
_NOT_WORD = re.compile(r"[\W_]+")
SEARCH_ROWS = 15
_FEWEST_KNOWN = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where the headings of a sheet are and what they mean.

    Attributes
    ----------
    spec : TableSpec
        The table the sheet is.
    row : int
        Index of the row with the headings, from 0.
    headings : tuple of str
        Every heading as typed, made unique; an empty one is called after its column's place.
    places : dict of str to int
        For each known column, the index of the sheet's column that holds it.
    """

    spec: TableSpec
    row: int
    headings: tuple[str, ...]
    places: dict[str, int]

    @property
    def unknown(self) -> list[int]:
        """Indexes of the columns with a heading that Rampbook does not know."""
        used = set(self.places.values())
        return [i for i, heading in enumerate(self.headings) if i not in used and heading]


def plain_word(heading: str) -> str:
    """Return a heading without unit, marks and capitals: ``Seconds (s)`` is ``seconds``.

    Examples
    --------
    >>> plain_word("Athlete code")
    'athlete_code'
    """
    return _NOT_WORD.sub("_", _UNITS.sub(" ", heading.strip().lower())).strip("_")


def column_of(heading: str, spec: TableSpec) -> str | None:
    """Return the column of a table that a heading means, or None."""
    known = {column.name for column in spec.all_columns}
    word = plain_word(heading)
    for name in (word, spec.words.get(word), _WORDS.get(word)):
        if name in known:
            return name
    # A time of day belongs to few tables; elsewhere "battery (%)" and the like end in their unit.
    for suffix in ("_s", "_percent"):
        if word + suffix in known:
            return word + suffix
    return None


def table_named(name: str) -> TableSpec | None:
    """Return the table that a file or sheet name tells of: ``attempts_2026``, ``Attempts``, ``attempts (2)``."""
    word = plain_word(re.sub(r"[()]", " ", name))
    for spec in SPECS.values():
        if re.match(rf"{spec.name}(_|\d|$)", word) or re.search(rf"(_|\d){spec.name}$", word):
            return spec
    return None


def read_layout(name: str, rows: Sequence[Cells]) -> Layout | None:
    """Return the layout of a sheet from its first rows, or None when it is no table of Rampbook.

    Parameters
    ----------
    name : str
        Name of the file without its ending, or of the sheet.
    rows : sequence of cells
        The first rows; the headings are the row with the most known ones, so titles above do no harm.
    """
    named = table_named(name)
    if named is not None:
        return _best_row(named, rows)
    found = [layout for spec in SPECS.values() if (layout := _best_row(spec, rows)) and _has_needs(layout)]
    return max(found, key=lambda layout: (len(layout.spec.needs), len(layout.places)), default=None)


def known_headings(rows: Sequence[Cells]) -> int:
    """Return the largest number of known headings in one row, whatever the table: how well a sheet is split."""
    return max((len(_places(spec, cells)) for spec in SPECS.values() for cells in rows[:SEARCH_ROWS]), default=0)


def _best_row(spec: TableSpec, rows: Sequence[Cells]) -> Layout | None:
    """Return the layout with the most known headings, or None when no row has enough of them."""
    scored = [(len(_places(spec, cells)), -index) for index, cells in enumerate(rows[:SEARCH_ROWS])]
    score, negative_index = max(scored, default=(0, 0))
    if score < _FEWEST_KNOWN:
        return None
    cells = rows[-negative_index]
    return Layout(spec=spec, row=-negative_index, headings=_unique(cells), places=_places(spec, cells))


def _has_needs(layout: Layout) -> bool:
    return all(need in layout.places for need in layout.spec.needs)


def _places(spec: TableSpec, cells: Cells) -> dict[str, int]:
    """Return the known columns among the headings; a heading that is the very name wins, then the first."""
    names = [column_of(cell, spec) if cell and cell.strip() else None for cell in cells]
    places: dict[str, int] = {}
    for index, (name, cell) in enumerate(zip(names, cells, strict=True)):
        if name is None:
            continue
        if name not in places or (plain_word(cell or "") == name and plain_word(cells[places[name]] or "") != name):
            places[name] = index
    return places


def _unique(cells: Cells) -> tuple[str, ...]:
    """Return headings that can serve as keys: a second one of a name gets its number; an empty one stays empty."""
    seen: dict[str, int] = {}
    out = []
    for cell in cells:
        heading = " ".join((cell or "").split())
        if heading:
            seen[heading] = seen.get(heading, 0) + 1
            heading = heading if seen[heading] == 1 else f"{heading} {seen[heading]}"
        out.append(heading)
    return tuple(out)
