"""What the study found, in words: which bars hold where, and every miss. Every figure is read off the rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from itertools import chain
from statistics import fmean, median

from analyses.calibration.judge import (
    LEAST_COVERAGE,
    LEAST_FALSE,
    LEAST_POWER_RATIO,
    MOST_BIAS,
    MOST_COVERAGE,
    MOST_FALSE,
)
from analyses.calibration.power import power_misses, power_section
from analyses.calibration.study import BEYOND, Row
from analyses.calibration.usual import METHODS, MOST_NEGATIVE_BINOMIAL, MOST_SERIES
from analyses.calibration.words import DESIGN_WORDS, KIND_WORDS, METHOD_WORDS, OURS, VARIANT_WORDS

COMMAND = "python -m analyses.calibration_study --seed"

CHOSEN = (
    "Everything here is drawn, and no figure comes from a real club. Drill times lie around 30 s with a spread of 6% "
    "from practice to practice and 8% between attempts, 1 to 8 attempts a practice; the change takes 12% off. Counts "
    "have a mean of 1, 2 or 8 a practice and halve; ratings are rounded, 0 to 10 with a ceiling, around 7.5, and rise "
    "by 1.5 before rounding; successes are 3 to 10 tries, around 65%, and their odds rise 2.5 times. Neighbouring "
    "practices are correlated 0, 0.3 or 0.6, and a longer gap weakens that. Learning is 1% a practice for times and "
    "counts. Gaps are all alike, or 2 to 9 days with a break of three weeks in the middle. An untouched series shares "
    "80% of the practice-to-practice variance. Learning is a straight line and spreads are normal on the link scale, "
    "as the model has it: the study says nothing about a plateau, a single freak day or attempts left out on purpose."
)
BARS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        f"false positives at 5%: {LEAST_FALSE:.0%} to {MOST_FALSE:.1%}",
        ("false positives too many", "false positives too few"),
    ),
    (f"95% intervals cover {LEAST_COVERAGE:.1%} to {MOST_COVERAGE:.1%}", ("coverage too low", "coverage too high")),
    (f"median bias under {MOST_BIAS:.0%} of the true effect", ("bias",)),
    (f"power at least {LEAST_POWER_RATIO:.0%} of the oracle's", ("power",)),
)  # fmt: skip


def summary(rows: Sequence[Row], seed: int) -> str:
    """Say which bars are kept, where the worst cells lie, and every miss."""
    parts = (
        [
            "# Calibration study",
            "",
            f"{len(rows)} cells, {_series(rows)} series a cell. `{COMMAND} {seed}`, run in the top folder.",
            "Every cell, with all its shares and misses, is a line of table.csv; the charts lie beside it.",
        ],
        _short(rows),
        ["## What was chosen", "", CHOSEN],
        _bars(rows),
        _usual(rows),
        power_section(rows),
        _refused(rows),
        _missed(rows),
        power_misses(rows),
        _worst(rows),
    )
    return "\n".join(chain.from_iterable((*part, "") for part in parts))


def _series(rows: Sequence[Row]) -> str:
    """Say how many series a cell has, kind by kind where they differ."""
    reps = {row.cell.kind: row.measured.reps for row in rows}
    if len(set(reps.values())) == 1:
        return f"{rows[0].measured.reps:,}"
    return ", ".join(f"{KIND_WORDS[kind]} {n:,}" for kind, n in reps.items())


def _broken(rows: Sequence[Row], names: Sequence[str], *, beyond: bool) -> int:
    """Number of cells that break one of these bars."""
    found = ((row.misses_beyond_error if beyond else row.misses) for row in rows)
    return sum(bool(set(names) & set(missed)) for missed in found)


def _short(rows: Sequence[Row]) -> list[str]:
    """What a coach, a therapist or a researcher may take from it."""
    n = len(rows)
    false = [row.measured.false_positives for row in rows]
    held = [row.measured.coverage_effect for row in rows]
    false_out, held_out, bias_out, power_out = (_broken(rows, names, beyond=True) for _, names in BARS)
    worst = max(rows, key=lambda row: row.measured.false_positives).cell
    usual = sorted((share, name) for row in rows for name, share in row.usual.items())
    lines = [
        "## In short",
        "",
        f"- A change that did nothing is called an effect in {median(false):.1%} of series, with {min(false):.1%} in "
        f"the lowest cell and {max(false):.1%} in the highest ({worst.name}). "
        f"{_out(false_out, n, f'{LEAST_FALSE:.0%} to {MOST_FALSE:.1%}')}",
        f"- 95% intervals hold the true effect in {median(held):.1%} ({min(held):.1%} to {max(held):.1%}). "
        f"{_out(held_out, n, f'{LEAST_COVERAGE:.1%} to {MOST_COVERAGE:.1%}')}",
        f"- The middle estimate misses the true effect by more than {MOST_BIAS:.0%} of it, beyond error, in {bias_out} "
        f"of {n} cells{_where(rows, ('bias',))}.",
        f"- Power stays below {LEAST_POWER_RATIO:.0%} of an oracle that knows the autocorrelation and the variances, "
        f"beyond error, in {power_out} of {n} cells (median ratio {median(row.power_ratio for row in rows):.0%}). "
        "The tables on power say where and why.",
    ]
    if usual:
        share, name = usual[-1]
        lines.append(f"- In the same cells a usual method calls up to {share:.0%} an effect ({METHOD_WORDS[name]}).")
    return [*lines, *_order(rows)]


def _order(rows: Sequence[Row]) -> list[str]:
    """How often an effect of the same size is found with 16 practices, by order of settings."""
    alone = [row for row in rows if row.cell.practices.n == 16 and not row.cell.compared]
    found = {
        DESIGN_WORDS[design]: fmean(row.measured.power for row in cells)
        for design, cells in _groups(alone, lambda row: row.cell.design).items()
    }
    if len(found) < 2:
        return []
    listed = ", ".join(f"{power:.0%} ({words})" for words, power in found.items())
    return [
        f"- How often the effect is found hangs on the order of settings. With 16 practices and no untouched series: "
        f'{listed}, on average over the cells. Otherwise the honest answer is "cannot tell yet".'
    ]


def _out(cells: int, of: int, band: str) -> str:
    if cells == 0:
        return f"No cell leaves {band} by more than the Monte Carlo error."
    return f"{cells} of {of} cells {'leaves' if cells == 1 else 'leave'} {band} by more than the Monte Carlo error."


def _where(rows: Sequence[Row], names: Sequence[str]) -> str:
    """The outcomes in which a bar is broken beyond error, most cells first."""
    found = Counter(
        VARIANT_WORDS[row.cell.variant] for row in rows if set(names) & set(row.misses_beyond_error)
    )  # fmt: skip
    listed = "; ".join(f"{words}: {count}" for words, count in found.most_common())
    return f" ({listed})" if found else ""


def _bars(rows: Sequence[Row]) -> list[str]:
    """Count the cells that break each bar, and in which outcomes."""
    plain = Counter(name for row in rows for name in row.misses)
    lines = [
        "## The bars",
        "",
        f"Beyond error: by more than {BEYOND:g} Monte Carlo standard errors of the cell. Of thousands of shares some",
        "break their bar by chance.",
        "",
        "| bar | broken in cells | beyond error | which way |",
        "|---|---|---|---|",
    ]
    for words, names in BARS:
        ways = ", ".join(f"{name} {plain[name]}" for name in names if plain[name]) or "-"
        counts = " | ".join(str(_broken(rows, names, beyond=beyond)) for beyond in (False, True))
        lines.append(f"| {words} | {counts} | {ways} |")
    lines += ["", "Cells that break a bar beyond error, by outcome:", ""]
    lines += ["| outcome | cells | false positives | coverage | bias | power |", "|---|---|---|---|---|---|"]
    for variant, cells in _groups(rows, lambda row: row.cell.variant).items():
        counts = " | ".join(str(_broken(cells, names, beyond=True)) for _, names in BARS)
        lines.append(f"| {VARIANT_WORDS[variant]} | {len(cells)} | {counts} |")
    return lines


def _groups(rows: Sequence[Row], key: Callable[[Row], str]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return found


def _worst(rows: Sequence[Row]) -> list[str]:
    """One line a kind and design: the range over autocorrelation, learning, gaps and untouched series."""
    lines = [
        "## The worst of every outcome and order of settings",
        "",
        "Over autocorrelation, learning, gaps, and with and without an untouched series. Bias is of the true effect.",
        "",
        "| outcome | order of settings | cells | false positives | coverage under the effect | largest bias |",
        "|---|---|---|---|---|---|",
    ]
    for variant, of_variant in _groups(rows, lambda row: row.cell.variant).items():
        for design, cells in _groups(of_variant, lambda row: row.cell.design).items():
            lines.append(f"| {VARIANT_WORDS[variant]} | {DESIGN_WORDS[design]} | {len(cells)} | {_extremes(cells)} |")
    return lines


def _extremes(cells: Sequence[Row]) -> str:
    false = [row.measured.false_positives for row in cells]
    held = [row.measured.coverage_effect for row in cells]
    bias = max((row.measured.median_bias for row in cells), key=abs)
    return f"{min(false):.1%} to {max(false):.1%} | {min(held):.1%} to {max(held):.1%} | {bias:+.1%}"


def _usual(rows: Sequence[Row]) -> list[str]:
    """False positives of every method in the same cells: least, median and most."""
    kinds = _groups(rows, lambda row: row.cell.kind)
    lines = [
        "## What the usual methods do in the same cells",
        "",
        "Share of changes that did nothing and are called an effect at 5%: lowest cell, median, highest cell.",
        f"The others see the first {MOST_SERIES:,} series of a cell, the negative binomial {MOST_NEGATIVE_BINOMIAL}.",
        "",
        "| method | " + " | ".join(KIND_WORDS[kind] for kind in kinds) + " |",
        "|---|" + "---|" * len(kinds),
    ]
    ours = [_range([row.measured.false_positives for row in cells]) for cells in kinds.values()]
    lines.append(f"| **{OURS}** | " + " | ".join(ours) + " |")
    for name in METHODS:
        shares = [[row.usual[name] for row in cells if name in row.usual] for cells in kinds.values()]
        if any(shares):
            lines.append(f"| {METHOD_WORDS[name]} | " + " | ".join(map(_range, shares)) + " |")
    return lines


def _range(shares: Sequence[float]) -> str:
    if not shares:
        return "-"
    return f"{min(shares):.1%}, {median(shares):.1%}, {max(shares):.1%}"


def _refused(rows: Sequence[Row]) -> list[str]:
    """How often no interval is given, and why."""
    lines = [
        "## What is refused",
        "",
        "Rampbook gives no interval where the outcome does not vary about level, trend and effect, or where fewer than",
        "two practices are left over to see that. A refused series counts as kept in the upper bar on false positives",
        "and the lower one on coverage, and is left out of bias and power.",
        "",
    ]
    some = [row for row in rows if max(row.measured.refused_null, row.measured.refused_effect) > 0]
    if not some:
        return [*lines, "In none of these cells was a series refused."]
    for kind, cells in _groups(some, lambda row: row.cell.kind).items():
        worst = max(cells, key=lambda row: max(row.measured.refused_null, row.measured.refused_effect))
        m = worst.measured
        mean = fmean((row.measured.refused_null + row.measured.refused_effect) / 2 for row in cells)
        lines.append(
            f"- {KIND_WORDS[kind]}: refused in {len(cells)} cells, {mean:.2%} of their series; most often "
            f"{max(m.refused_null, m.refused_effect):.1%} ({worst.cell.name})."
        )
    return lines


def _missed(rows: Sequence[Row]) -> list[str]:
    """List the cells that miss more than power beyond error, those furthest from honest first."""
    missed = [row for row in rows if set(row.misses_beyond_error) - {"power"}]
    missed.sort(key=lambda row: -row.measured.false_positives)
    power = _broken(rows, ("power",), beyond=True)
    lines = [
        "## Misses beyond Monte Carlo error",
        "",
        f"{len(missed)} of {len(rows)} cells miss a bar other than power; all are listed. {power} of {len(rows)} cells "
        "miss power, counted in the next table.",
        "",
    ]
    if not missed:
        return lines[:-1]
    lines += [
        "| cell | misses | false positives | coverage | bias | power of the oracle's |",
        "|---|---|---|---|---|---|",
    ]
    for row in missed:
        m = row.measured
        lines.append(
            f"| {row.cell.name} | {', '.join(row.misses_beyond_error)} | {m.false_positives:.1%} | "
            f"{m.coverage_effect:.1%} | {m.median_bias:+.1%} | {row.power_ratio:.0%} |"
        )
    return lines
