"""Rampbook: every drive setting known and recoverable, and an honest answer to whether a change helped.

The public door. Parts are loaded when they are first asked for, so that small commands start quickly.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from rampbook.errors import (
    DesignError,
    EntryError,
    MigrationError,
    RampbookError,
    ReportError,
    SeriesError,
    SettingBlocked,
    StoreError,
    StoreLockedError,
)

if TYPE_CHECKING:
    from rampbook.effect import Effect, estimate, estimate_many
    from rampbook.store import open_store

__version__ = "0.1.0"

__all__ = [
    "DesignError",
    "Effect",
    "EntryError",
    "MigrationError",
    "RampbookError",
    "ReportError",
    "SeriesError",
    "SettingBlocked",
    "StoreError",
    "StoreLockedError",
    "estimate",
    "estimate_many",
    "open_store",
]

_WHERE = {
    "Effect": "rampbook.effect",
    "estimate": "rampbook.effect",
    "estimate_many": "rampbook.effect",
    "open_store": "rampbook.store",
}


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module 'rampbook' has no attribute {name!r}")
    value = getattr(import_module(_WHERE[name]), name)
    globals()[name] = value
    return value
