"""The table of the study, and its summary in words."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path

from analyses.calibration.judge import (
    LEAST_COVERAGE,
    LEAST_FALSE,
    LEAST_POWER_RATIO,
    MOST_BIAS,
    MOST_COVERAGE,
    MOST_FALSE,
)
from analyses.calibration.study import BEYOND, Row
from analyses.calibration.usual import METHODS

COMMAND = "python -m analyses.calibration_study --seed"
MOST_LISTED = 40


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


def summary(rows: Sequence[Row], seed: int) -> str:
    """Say which bars are kept, where the worst cells lie, and every miss."""
    return "\n".join(
        [
            "# Calibration study",
            "",
            f"{len(rows)} cells, {_series(rows)} series a cell. `{COMMAND} {seed}`, run in the top folder.",
            "Of thousands of shares compared with bars some miss by chance: see how many miss beyond the error.",
            "",
            *_bars(rows),
            "",
            *_worst(rows),
            "",
            *_usual(rows),
            "",
            *_missed(rows),
            "",
        ]
    )


def _series(rows: Sequence[Row]) -> str:
    """Say how many series a cell has, kind by kind where they differ."""
    reps = {row.cell.kind: row.measured.reps for row in rows}
    if len(set(reps.values())) == 1:
        return f"{rows[0].measured.reps:,}"
    return ", ".join(f"{kind} {n:,}" for kind, n in reps.items())


BARS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        f"false positives at 5%: {LEAST_FALSE:.0%} to {MOST_FALSE:.1%}",
        ("false positives too many", "false positives too few"),
    ),
    (f"95% intervals cover {LEAST_COVERAGE:.1%} to {MOST_COVERAGE:.1%}", ("coverage too low", "coverage too high")),
    (f"median bias under {MOST_BIAS:.0%} of the true effect", ("bias",)),
    (f"power at least {LEAST_POWER_RATIO:.0%} of the oracle's", ("power",)),
)  # fmt: skip


def _bars(rows: Sequence[Row]) -> list[str]:
    """Count the cells that break each bar."""
    plain = Counter(name for row in rows for name in row.misses)
    beyond = Counter(name for row in rows for name in row.misses_beyond_error)
    lines = [
        "## The bars",
        "",
        f"Beyond error: by more than {BEYOND:g} Monte Carlo standard errors of the cell.",
        "",
        "| bar | broken in cells | beyond error | which way |",
        "|---|---|---|---|",
    ]
    for words, names in BARS:
        ways = ", ".join(f"{name} {plain[name]}" for name in names if plain[name]) or "-"
        lines.append(
            f"| {words} | {sum(plain[name] for name in names)} | {sum(beyond[name] for name in names)} | {ways} |"
        )
    return lines


def _groups(rows: Sequence[Row], key: Callable[[Row], str]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return found


def _worst(rows: Sequence[Row]) -> list[str]:
    """One line a kind and design: the range over autocorrelation, learning, gaps and untouched series."""
    lines = [
        "## The worst of every kind and design",
        "",
        "Over autocorrelation, learning, gaps, and with and without an untouched series. Power is over the oracle's.",
        "",
        "| outcome | design | cells | false positives | coverage under the effect | largest bias | least power ratio "
        "| most refused |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for variant, of_variant in _groups(rows, lambda row: row.cell.variant).items():
        for design, cells in _groups(of_variant, lambda row: row.cell.design).items():
            lines.append(f"| {variant} | {design} | {len(cells)} | {_extremes(cells)} |")
    return lines


def _extremes(cells: Sequence[Row]) -> str:
    false = [row.measured.false_positives for row in cells]
    held = [row.measured.coverage_effect for row in cells]
    bias = max((row.measured.median_bias for row in cells), key=abs)
    refused = max(max(row.measured.refused_null, row.measured.refused_effect) for row in cells)
    return " | ".join(
        (
            f"{min(false):.1%} to {max(false):.1%}",
            f"{min(held):.1%} to {max(held):.1%}",
            f"{bias:+.1%}",
            f"{min(row.power_ratio for row in cells):.0%}",
            f"{refused:.1%}",
        )
    )


def _usual(rows: Sequence[Row]) -> list[str]:
    """False positives of every method in the same cells: median and highest."""
    lines = [
        "## What the usual methods do in the same cells",
        "",
        "Share of changes that did nothing and are called an effect at 5%: median of the cells, and highest.",
        "",
    ]
    kinds = _groups(rows, lambda row: row.cell.kind)
    lines += ["| method | " + " | ".join(kinds) + " |", "|---|" + "---|" * len(kinds)]
    ours = [_median_and_most([row.measured.false_positives for row in cells]) for cells in kinds.values()]
    lines.append("| **Rampbook** | " + " | ".join(ours) + " |")
    for name in METHODS:
        shares = [[row.usual[name] for row in cells if name in row.usual] for cells in kinds.values()]
        if any(shares):
            lines.append(f"| {name.replace('_', ' ')} | " + " | ".join(map(_median_and_most, shares)) + " |")
    return lines


def _median_and_most(shares: Sequence[float]) -> str:
    if not shares:
        return "-"
    ordered = sorted(shares)
    return f"{ordered[len(ordered) // 2]:.1%}, {ordered[-1]:.1%}"


def _missed(rows: Sequence[Row]) -> list[str]:
    """List the cells that miss beyond error, those furthest from honest first."""
    missed = [row for row in rows if row.misses_beyond_error]
    missed.sort(key=lambda row: -row.measured.false_positives)
    lines = [
        "## Misses beyond Monte Carlo error",
        "",
        f"{len(missed)} of {len(rows)} cells; all of them, and those within the error, are marked in table.csv.",
        "",
    ]
    if not missed:
        return lines
    lines += [
        "| cell | misses | false positives | coverage | bias | power of the oracle's |",
        "|---|---|---|---|---|---|",
    ]
    for row in missed[:MOST_LISTED]:
        m = row.measured
        lines.append(
            f"| {row.cell.name} | {', '.join(row.misses_beyond_error)} | {m.false_positives:.1%} | "
            f"{m.coverage_effect:.1%} | {m.median_bias:+.1%} | {row.power_ratio:.0%} |"
        )
    return lines
