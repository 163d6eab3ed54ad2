"""The card for the chair bag: one profile of one chair on one page, gathered from the store."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from rampbook.domain.cautions import ALWAYS, cautions
from rampbook.domain.orders import steps_to_all
from rampbook.domain.settings import Catalogue
from rampbook.store import Store
from rampbook.store.catalogue import read_catalogue

# More than this does not go on one page at a size that can be read at arm's length; the rest goes on a next one.
MOST_VALUES = 28


@dataclass(frozen=True, slots=True, kw_only=True)
class CardValue:
    """One value of the card, and what set it; the old value is the one that stood before."""

    setting: str
    value: float
    unit: str
    since: date
    change: str | None
    role: str | None
    reason: str | None
    planned: int | None
    bundle: str | None
    old_value: float | None
    checked_on: date | None
    goes_back_to: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WayBack:
    """The latest change that stands, and the single steps that undo it; no steps when no rule-abiding order does.

    ``together`` are the values of its bundle that still stand, itself among them; they go back together.
    """

    value: CardValue
    together: tuple[CardValue, ...]
    steps: tuple[tuple[str, float], ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One page: one profile of one chair as it stood on a day.

    Attributes
    ----------
    scale, scale_definition, throw_definition : str or None
        What the chair's numbers mean, as the record says it; None where it does not.
    part, n_parts : int
        Which page of the profile this is; 1 of 1 for nearly every chair.
    """

    athlete: str
    chair: str | None
    profile: int
    on: date
    values: tuple[CardValue, ...]
    way_back: WayBack | None
    scale: str | None
    scale_definition: str | None
    throw_definition: str | None
    cautions: tuple[str, ...]
    part: int = 1
    n_parts: int = 1


def gather_cards(
    store: Store, athlete: str, on: date, *, profile: int | None = None, chair: str | None = None
) -> list[Card]:
    """Return a page for each chair and profile of an athlete that has values on a day.

    Parameters
    ----------
    store : Store
        The club's record.
    athlete : str
        The athlete's code.
    on : date
        The values are those at the end of this day.
    profile, chair : optional
        Only this one; every one when left out.
    """
    catalogue = read_catalogue(store.connection)
    sheets: dict[tuple[str | None, int], list[dict[str, Any]]] = {}
    for row in store.rows("settings_in_days", athlete, on, on, profile, chair, None):
        sheets.setdefault((row["chair"], row["profile"]), []).append(row)
    order = {row["change"]: place for place, row in enumerate(store.rows("changes_of_athlete", athlete))}
    return [
        page
        for (of_chair, of_profile), rows in sheets.items()
        for page in _pages(
            [_value(row, catalogue) for row in rows],
            catalogue,
            order,
            athlete=athlete,
            chair=of_chair,
            profile=of_profile,
            on=on,
            **_scale(store, of_chair),
        )
    ]


def _pages(values: Sequence[CardValue], catalogue: Catalogue, order: dict[str, int], **whose: Any) -> list[Card]:
    """Return the pages of one profile: one, unless it has more values than a page can hold."""
    ordered = _in_order(values, catalogue)
    way_back = _way_back(ordered, order, catalogue)
    parts = [tuple(ordered[i : i + MOST_VALUES]) for i in range(0, len(ordered), MOST_VALUES)]
    return [
        Card(values=mine, way_back=way_back, cautions=ALWAYS, part=part, n_parts=len(parts), **whose)
        for part, mine in enumerate(parts, start=1)
    ]


def _value(row: dict[str, Any], catalogue: Catalogue) -> CardValue:
    known = catalogue.settings.get(row["setting"])
    names = (
        "setting", "value", "since", "change", "role", "reason", "planned", "bundle", "old_value", "checked_on",
        "goes_back_to",
    )  # fmt: skip
    unit = "" if known is None or known.unit == "1" else known.unit
    return CardValue(unit=unit, **{name: row[name] for name in names})


def _in_order(values: Sequence[CardValue], catalogue: Catalogue) -> list[CardValue]:
    """Return the values in the order of the catalogue, what the club added last."""
    places = {name: place for place, name in enumerate(catalogue.settings)}
    return sorted(values, key=lambda value: (places.get(value.setting, len(places)), value.setting))


def _way_back(values: Sequence[CardValue], order: dict[str, int], catalogue: Catalogue) -> WayBack | None:
    """Return the latest change that stands and the way back from it; None when no change stands."""
    changed = [value for value in values if value.change is not None and value.old_value is not None]
    if not changed:
        return None
    latest = max(changed, key=lambda value: order.get(value.change or "", -1))
    together = [v for v in changed if v is latest or (latest.bundle and v.bundle == latest.bundle)]
    sheet = {value.setting: value.value for value in values}
    wishes = {v.setting: v.old_value for v in together if v.old_value is not None and v.setting in catalogue.settings}
    steps = tuple(steps_to_all(sheet, wishes, catalogue)) if len(wishes) == len(together) else ()
    said = [
        line for step in steps for line in cautions(step.setting, old=step.old_value, new=step.value)
        if line not in ALWAYS
    ]  # fmt: skip
    return WayBack(
        value=latest,
        together=tuple(together),
        steps=tuple((step.setting, step.value) for step in steps),
        cautions=tuple(dict.fromkeys(said)),
    )


def _scale(store: Store, chair: str | None) -> dict[str, Any]:
    """Return what the record says about the meaning of a chair's numbers."""
    found = store.rows("chair", chair)
    names = ("scale", "scale_definition", "throw_definition")
    return {name: found[0][name] if found else None for name in names}
