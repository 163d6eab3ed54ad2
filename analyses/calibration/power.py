"""Power in words: beside which oracle, how much of it is reached where, and what the shortfall is due to."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from statistics import fmean, median

from analyses.calibration.judge import LEAST_POWER_RATIO
from analyses.calibration.study import Row
from analyses.calibration.words import DESIGN_WORDS, KIND_WORDS, company

HARDNESS = (0.0, 0.2, 0.5, 0.8, 0.95, 1.01)

EXPLAINED = (
    "An oracle sees the same series and is told the autocorrelation and all variances; it has to find only level, "
    "trend and effect. The bar compares Rampbook with it. With an untouched series, Rampbook subtracts that series on "
    "purpose: a step that falls on the day of the change and moves both (another joystick, another floor) is taken "
    "away, whatever its size. So the oracle of the bar also allows both series a shared step of unknown size. A second "
    "oracle is told that there was no such step (`oracle_power_no_shared_step` in table.csv); its question is easier, "
    "and the share that it finds more is what the protection costs. A third allows the shared step and does not know "
    "how large the variances are, only how they compare (`oracle_power_unknown_scale`), as nobody with a handful of "
    "practices does."
)


def power_section(rows: Sequence[Row]) -> list[str]:
    """Explain the oracles, say where the bar is missed, and split the shortfall by order of settings."""
    return ["## Power", "", EXPLAINED, "", *_where(rows), "", *_shortfall(rows)]


def _groups(rows: Sequence[Row], key: Callable[[Row], tuple[str, ...]]) -> dict[tuple[str, ...], list[Row]]:
    found: dict[tuple[str, ...], list[Row]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return found


def _where(rows: Sequence[Row]) -> list[str]:
    """One line for how hard a cell is to the oracle itself."""
    lines = [
        "### Where it misses",
        "",
        "Cells by how often the oracle of the bar itself finds the effect.",
        "",
        "| oracle finds | cells | miss | miss beyond error | least ratio | median ratio |",
        "|---|---|---|---|---|---|",
    ]
    for low, high in pairwise(HARDNESS):
        cells = [row for row in rows if low <= row.oracle.z < high]
        if not cells:
            continue
        ratios = [row.power_ratio for row in cells]
        lines.append(
            f"| {low:.0%} to {min(high, 1.0):.0%} | {len(cells)} | {sum('power' in row.misses for row in cells)} "
            f"| {sum('power' in row.misses_beyond_error for row in cells)} | {min(ratios):.0%} | {median(ratios):.0%} |"
        )
    return lines


def share_due_to_scale(rows: Sequence[Row]) -> float | None:
    """Give the share of the distance from the bar's oracle that not knowing the scale explains; None where none is."""
    short = sum(row.oracle.z - row.measured.power for row in rows)
    return sum(row.oracle.z - row.oracle.t for row in rows) / short if short > 0 else None


def _shortfall(rows: Sequence[Row]) -> list[str]:
    """One line an order of settings: mean powers, and the share of the shortfall due to the unknown scale."""
    lines = [
        "### What the shortfall is due to",
        "",
        "Mean power over all outcomes, autocorrelations, learning and gaps. The last column says which share of the",
        "distance between the bar's oracle and Rampbook lies between knowing and not knowing the scale (from the",
        "practices of both series, where there are two). What is left is due to not knowing the autocorrelation and",
        "the share of noise, to the stretch that keeps false positives where they belong, and for sparse counts and",
        "few tries to reading them on a normal scale. Without the stretch more would be found, and with one change and",
        "practices that run together too many changes that did nothing as well (tests/simulation/test_calibration.py).",
        "",
        "| order of settings | series | oracle told of no shared step | oracle of the bar | scale unknown | Rampbook "
        "| due to scale |",
        "|---|---|---|---|---|---|---|",
    ]
    for (design, beside), cells in _groups(rows, lambda row: (row.cell.design, company(row.cell))).items():
        told, z, t, ours = (
            f"{fmean(values):.0%}"
            for values in (
                [row.oracle.no_shared_step for row in cells],
                [row.oracle.z for row in cells],
                [row.oracle.t for row in cells],
                [row.measured.power for row in cells],
            )
        )
        share = share_due_to_scale(cells)
        told_words = told if cells[0].cell.compared else "-"
        due = "no shortfall" if share is None else f"{min(share, 1.0):.0%}"
        lines.append(f"| {DESIGN_WORDS[design]} | {beside} | {told_words} | {z} | {t} | {ours} | {due} |")
    return lines


def power_misses(rows: Sequence[Row]) -> list[str]:
    """One line an outcome, order of settings and company: how many cells miss, and the ratios."""
    lines = [
        "## Misses of the power bar",
        "",
        f"Power over that of the oracle of the bar (the bar: {LEAST_POWER_RATIO:.0%}); in the last column over that of",
        "the oracle that does not know the scale. Counts are told apart by their mean. Where the oracle itself",
        "finds little (last but one), a ratio says little.",
        "",
        "| outcome | order of settings | series | cells | miss | miss beyond error | least | median "
        "| oracle finds, median | median, scale unknown |",
        "|---|---|---|---|---|---|---|---|---|---|",
    ]
    for (outcome, design, beside), cells in _groups(rows, _key).items():
        ratios = [row.power_ratio for row in cells]
        lines.append(
            f"| {outcome} | {DESIGN_WORDS[design]} | {beside} | {len(cells)} "
            f"| {sum('power' in row.misses for row in cells)} "
            f"| {sum('power' in row.misses_beyond_error for row in cells)} "
            f"| {min(ratios):.0%} | {median(ratios):.0%} | {median(row.oracle.z for row in cells):.0%} "
            f"| {median(row.power_ratio_unknown_scale for row in cells):.0%} |"
        )
    return lines


def _key(row: Row) -> tuple[str, ...]:
    cell = row.cell
    mean = f", mean {cell.mean:g}" if cell.kind == "count" else ""
    return KIND_WORDS[cell.kind] + mean, cell.design, company(cell)
