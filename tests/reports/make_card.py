"""Cards for the tests: a plain one, and one that is as full as a card can be."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from rampbook.domain.cautions import ALWAYS, cautions
from rampbook.domain.settings import DEFAULT
from rampbook.reports.card import Card, CardValue, WayBack

HOSTILE = "<script>alert(1)</script> & #set page(fill: red) $x$ \"q\" 'WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW'"


def make_value(setting: str, value: float, *, number: int = 1) -> CardValue:
    known = DEFAULT.settings.get(setting)
    return CardValue(
        setting=setting,
        value=value,
        unit="%" if known and known.unit == "%" else "",
        since=date(2025, 10, 6),
        change=f"CH{number}",
        role="technician",
        reason=f"reason {number}, with many more words than a line beside a value can hold, and then some",
        planned=1,
        bundle=None,
        old_value=value + 1,
        checked_on=date(2025, 11, 10),
    )


def make_card(n_values: int = 19, profile: int = 2) -> Card:
    """Return a card of so many values, all changed, with the longest way back and a long definition."""
    names = [*DEFAULT.settings, *(f"club_setting_number_{i}" for i in range(1, 40))][:n_values]
    values = tuple(make_value(name, 31.5 + i, number=i + 1) for i, name in enumerate(names))
    said = [
        line
        for name, old, new in (("forward_speed_max", 30, 40), ("deceleration_max", 40, 30), ("throw_left", 80, 90))
        for line in cautions(name, old=old, new=new)
        if line not in ALWAYS
    ]
    way_back = WayBack(
        value=values[0],
        together=values[:1],
        steps=(("reverse_speed_min", 20.0), ("reverse_speed_max", 30.0), ("forward_speed_max", 32.5)),
        cautions=tuple(dict.fromkeys(said)),
    )
    return Card(
        athlete="K01",
        chair="W01",
        profile=profile,
        on=date(2025, 11, 30),
        values=values,
        way_back=way_back,
        scale="club_scale_a",
        scale_definition="the number that this chair shows, from 0 to 100; " * 8,
        throw_definition="full_at",
        cautions=ALWAYS,
    )


def hostile_card() -> Card:
    """Return a card whose every free text tries to be markup."""
    card = make_card()
    values = tuple(replace(value, reason=HOSTILE, role=None) for value in card.values)
    back = WayBack(value=values[0], together=values[:1], steps=(), cautions=())
    return replace(card, values=values, scale=HOSTILE, scale_definition=HOSTILE, way_back=back)
