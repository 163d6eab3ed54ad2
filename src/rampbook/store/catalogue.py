"""The settings and rules that hold in one club: the ones every club starts with, and its own."""

from __future__ import annotations

from dataclasses import replace

from rampbook.domain.settings import DEFAULT, STICK_SCALE, Catalogue, Setting
from rampbook.store.connection import Store

_STICK_UNIT = "%"


def club_catalogue(store: Store) -> Catalogue:
    """Return the settings of the store's catalogue, tied by the rules every club starts with."""
    return DEFAULT.extend(_setting(**row) for row in store.rows("catalogue"))


def _setting(*, setting: str, unit: str, low: float, high: float, meaning: str | None) -> Setting:
    known = DEFAULT.settings.get(setting)
    if known is not None:
        return replace(known, unit=unit, low=low, high=high, meaning=meaning or known.meaning)
    own = Setting(name=setting, unit=unit, low=low, high=high, meaning=meaning or "")
    return replace(own, scale=STICK_SCALE) if unit == _STICK_UNIT else own
