"""The store: one DuckDB file with everything a club wrote down, and the ways in and out of it."""

from __future__ import annotations

from rampbook.store.connection import TABLES, Store, open_store, store_path

__all__ = ["TABLES", "Store", "open_store", "store_path"]
