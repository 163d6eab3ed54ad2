"""The table of the study: one line a cell."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

from analyses.calibration.study import Row
from analyses.calibration.usual import METHODS


def table_row(row: Row) -> dict[str, object]:
    """Give one line of the table; shares and effects to four digits."""
    cell, measured = row.cell, row.measured
    numbers: dict[str, float] = {
        "true_effect": row.true_effect,
        "marginal_effect": row.marginal_effect,
        "false_positives": measured.false_positives,
        "coverage_null": measured.coverage_null,
        "coverage_effect": measured.coverage_effect,
        "median_bias": measured.median_bias,
        "median_bias_error": measured.bias_error,
        "power": measured.power,
        "oracle_power": row.oracle.z,
        "oracle_power_unknown_scale": row.oracle.t,
        "oracle_power_no_shared_step": row.oracle.no_shared_step,
        "power_ratio": row.power_ratio,
        "power_ratio_unknown_scale": row.power_ratio_unknown_scale,
        "refused_null": measured.refused_null,
        "refused_effect": measured.refused_effect,
    }
    return {
        "kind": cell.kind,
        "count_mean": f"{cell.mean:g}" if cell.kind == "count" else "",
        "count_dispersion": f"{cell.dispersion:g}" if cell.kind == "count" else "",
        "design": cell.design,
        "practices": cell.practices.n,
        "untouched_series": "yes" if cell.compared else "no",
        "autocorrelation": f"{cell.rho:g}",
        "learning": "yes" if cell.learning else "no",
        "gaps": "break" if cell.irregular else "regular",
        "reps": measured.reps,
        **{name: f"{value:.4f}" for name, value in numbers.items()},
        **{f"{name}_false_positives": _share(row.usual.get(name)) for name in METHODS},
        "misses": "; ".join(row.misses),
        "misses_beyond_error": "; ".join(row.misses_beyond_error),
    }


def _share(value: float | None) -> str:
    return "" if value is None else f"{value:.4f}"


def write_table(rows: Sequence[Row], path: Path) -> None:
    """Write one line a cell."""
    lines = [table_row(row) for row in rows]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, fieldnames=list(lines[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(lines)
