"""The club's own catalogue of settings: the usual one, with the bounds and settings that its store adds."""

from __future__ import annotations

from dataclasses import replace

import duckdb

from rampbook.domain.settings import DEFAULT, Catalogue, Setting
from rampbook.store.sqlfiles import sql_text


def read_catalogue(connection: duckdb.DuckDBPyConnection) -> Catalogue:
    """Return the catalogue in force in a store."""
    rows = connection.execute(sql_text("queries", "catalogue")).fetchall()
    return DEFAULT.extend(settings=[_setting(*row) for row in rows])


def _setting(name: str, unit: str, low: float, high: float, meaning: str | None) -> Setting:
    """Return a setting with the store's bounds; what the usual catalogue knows besides is kept."""
    usual = DEFAULT.settings.get(name)
    if usual is not None:
        return replace(usual, low=low, high=high)
    return Setting(name=name, unit=unit, low=low, high=high, meaning=meaning or "")
