"""Files in: CSV, Parquet and xlsx sheets, checked and loaded whole, with every row that cannot be used set aside."""

from __future__ import annotations

from rampbook.store.load.report import LoadReport, SetAside
from rampbook.store.load.run import load_paths, load_rows

__all__ = ["LoadReport", "SetAside", "load_paths", "load_rows"]
