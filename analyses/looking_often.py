"""What looking after every practice costs, and whether the boundary pays for it. Rampbook 0.1.0, 2026-11-25.

Data: invented series with a stated truth, drawn by calibration/simulate.py with the seed below: 15 practices before a
change and 15 after, at regular gaps, with learning; what is true stands in calibration/truth.py. The change did
nothing, except for the power, where it did what truth.py states. Ways of looking:

    all-before   15 practices before; a look after each of 5 to 15 practices with the new setting
    windows      the last m practices before and the first m after, m from 5 to 15
    few-before   the last 5 practices before; a look after each of 3 to 15 practices with the new setting

Every look is judged as `--until 15` judges it at that moment: the boundary for the practices before that it knows and
15 after, by what the fit of that look thinks of the autocorrelation. The boundary takes every practice as equally
noisy here, so that series share it; the last table measures what that changes.

    python -m analyses.looking_often [--reps 1000] [--seed 20261125] [--out FOLDER]

writes looking_often.csv and looking_often.md into the folder (default: this one) and takes about a quarter of an hour.
"""

from __future__ import annotations

import argparse
import csv
import os
import sys
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields
from itertools import product
from multiprocessing import Pool
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads only wait for each other

import numpy as np
from numpy.typing import NDArray

from analyses.calibration.cells import Cell
from analyses.calibration.simulate import Simulated, simulate
from analyses.calibration.truth import stated_effect
from rampbook.estimators.batch import batch_design
from rampbook.estimators.grid import grid_for
from rampbook.estimators.judge import judge
from rampbook.estimators.kernel import fit_effect, ordinary_fit
from rampbook.estimators.looks import Plan, factor, plan_looks
from rampbook.estimators.model import Model
from rampbook.estimators.working import working

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

SEED, REPS, CONFIDENCE, BAR = 20261125, 1000, 0.95, 0.055
SIDE, CHUNK = 15, 500
VARIANTS = (("time", 0.0, 0.0), ("count", 2.0, 0.3), ("count", 8.0, 0.3), ("rating", 0.0, 0.0), ("success", 0.0, 0.0))
RHOS = (0.0, 0.6)
CHECKED, CHECKED_LOOK = 3, (15, 8)
WAYS: dict[str, tuple[tuple[int, int], ...]] = {
    "all-before": tuple((SIDE, after) for after in range(5, SIDE + 1)),
    "windows": tuple((m, m) for m in range(5, SIDE + 1)),
    "few-before": tuple((5, after) for after in range(3, SIDE + 1)),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Called:
    """What S series were called at one look or over several; flags are (S,).

    ``better`` and ``worse``: the interval leaves out no effect on that side. ``verdict``: better, and at least half
    the spread of the practices before, as the verdict asks where nothing else was declared.
    """

    better: Flags
    worse: Flags
    verdict: Flags

    def __or__(self, other: Called) -> Called:
        return Called(**{f.name: getattr(self, f.name) | getattr(other, f.name) for f in fields(Called)})


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of the table: shares of the series; ``plain`` without the boundary."""

    kind: str
    rho: float
    way: str
    series: int
    ever_better: float
    ever_better_plain: float
    ever_verdict_better: float
    ever_verdict_better_plain: float
    ever_worse: float
    ever_worse_plain: float
    ever_either: float
    ever_either_plain: float
    power_at_end: float
    power_at_end_plain: float
    power_ever: float | None
    factor_at_end: float


def cells() -> list[Cell]:
    """Give every cell, in the order of the table."""
    return [
        Cell(
            kind=kind, design="once-30", mean=mean, dispersion=dispersion, compared=False, rho=rho, learning=True,
            irregular=False, place=place,
        )
        for place, ((kind, mean, dispersion), rho) in enumerate(product(VARIANTS, RHOS))
    ]  # fmt: skip


def plan_of(before: int) -> Plan:
    """Give the plan of so many practices before and 15 after, all equally noisy."""
    phase = np.repeat([0.0, 1.0], [before, SIDE])
    ones = np.ones(phase.size)
    return _plan(batch_design(phase[None], trend=True)[0], ones)


def _plan(design: Floats, noise: Floats) -> Plan:
    ones = np.ones_like(noise)
    model = Model(
        response=ones, design=design, names=("level", "trend", "effect"), gaps=ones, noise=noise, half_counts=False,
        main_response=ones,
    )  # fmt: skip
    return plan_looks(model, SIDE)


def look(drawn: Simulated, before: int, after: int) -> tuple[Called, Called, Floats]:
    """Judge the last practices before and the first after: with the boundary, without it, and its factor (S,)."""
    grid = grid_for(drawn.cell.kind)
    response, design, noise, varies = window_of(drawn, before, after)
    fit = fit_effect(response, design, np.ones_like(noise), noise, grid)
    judged = judge(fit, grid, before + after, CONFIDENCE)
    by = factor(plan_of(before), grid, CONFIDENCE, fit.weight)
    sign = -1.0 if drawn.cell.kind in ("time", "count") else 1.0
    enough = sign * judged.effect >= worthwhile(response[:, :before])
    calls = []
    for wider in (by, np.ones_like(by)):
        low, high = (judged.effect + wider * (end - judged.effect) for end in (judged.low, judged.high))
        up, down = varies & (low > 0), varies & (high < 0)
        better, worse = (up, down) if sign > 0 else (down, up)
        calls.append(Called(better=better, worse=worse, verdict=better & enough))
    return calls[0], calls[1], by


def window_of(drawn: Simulated, before: int, after: int) -> tuple[Floats, Floats, Floats, Flags]:
    """Give response, design and noise of the practices of a look, and whether they vary at all, (S,).

    A series that does not vary has no interval, so nothing is called; a stand-in keeps the kernel from failing on it.
    """
    window = slice(SIDE - before, SIDE + after)
    value, size = drawn.value[:, window], drawn.size[:, window]
    design = batch_design(drawn.phase[:, window], trend=True)
    summed = working(drawn.cell.kind, value, size, design)
    noise = summed.noise / np.median(summed.noise, axis=1, keepdims=True)
    varies = np.sum(ordinary_fit(summed.response, design)[1] ** 2, axis=1) > 1e-18
    response = np.where(varies[:, None], summed.response, np.arange(value.shape[1]) % 3)
    return response, design, noise, varies


def own_factors(cell: Cell, seed: int) -> tuple[Floats, Floats]:
    """Give the shared factor of a few series, and the factor for the noise that each has itself."""
    drawn, grid = simulate(cell, CHECKED, cell.seed(seed), effect=0.0), grid_for(cell.kind)
    response, design, noise, _ = window_of(drawn, *CHECKED_LOOK)
    weight = fit_effect(response, design, np.ones_like(noise), noise, grid).weight
    shared = factor(plan_of(CHECKED_LOOK[0]), grid, CONFIDENCE, weight)
    own = [factor(_plan(design[s], noise[s]), grid, CONFIDENCE, weight[s : s + 1])[0] for s in range(CHECKED)]
    return shared, np.array(own)


def worthwhile(before: Floats) -> Floats:
    """Half the spread of the practices before around their own line, (S,)."""
    n = before.shape[1]
    columns: Floats = np.column_stack([np.ones(n), np.arange(n, dtype=np.float64)])
    line = np.broadcast_to(columns, (before.shape[0], n, 2))
    return np.asarray(0.5 * np.sqrt(np.sum(ordinary_fit(before, line)[1] ** 2, axis=1) / (n - 2)))


def in_chunks(drawn: Simulated) -> list[Simulated]:
    """Cut series into parts that fit into the memory."""
    n = drawn.value.shape[0]
    return [
        Simulated(
            cell=drawn.cell, phase=drawn.phase[part], gaps=drawn.gaps[part], value=drawn.value[part],
            size=drawn.size[part], within=None, control_value=None, control_size=None,
        )
        for part in (slice(start, start + CHUNK) for start in range(0, n, CHUNK))
    ]  # fmt: skip


def over_looks(drawn: Simulated, looks: Sequence[tuple[int, int]]) -> tuple[Called, Called, Called, Called, Floats]:
    """Give ever called with and without the boundary, the same at the end alone, and the factor at the end."""
    calls: list[tuple[Called, Called, Called, Called]] = []
    factors: list[Floats] = []
    for chunk in in_chunks(drawn):
        adjusted, plain, by = look(chunk, *looks[0])
        ever, ever_plain = adjusted, plain
        for before, after in looks[1:]:
            adjusted, plain, by = look(chunk, before, after)
            ever, ever_plain = ever | adjusted, ever_plain | plain
        calls.append((ever, ever_plain, adjusted, plain))
        factors.append(by)
    joined = [_joined([part[i] for part in calls]) for i in range(4)]
    return joined[0], joined[1], joined[2], joined[3], np.concatenate(factors)


def _joined(parts: Sequence[Called]) -> Called:
    return Called(**{f.name: np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(Called)})


def measure(cell: Cell, reps: int, seed: int) -> list[Row]:
    """Measure one cell in every way of looking."""
    nothing = simulate(cell, reps, cell.seed(seed), effect=0.0)
    moved = simulate(cell, reps, cell.seed(seed), effect=stated_effect(cell))
    rows = []
    for way, looks in WAYS.items():
        ever, ever_plain, _, _, by = over_looks(nothing, looks)
        ever_moved, _, end, end_plain, _ = over_looks(moved, looks if way == "all-before" else looks[-1:])
        shares = {
            f"{name}{ending}": float(np.mean(flags))
            for ending, called in (("", ever), ("_plain", ever_plain))
            for name, flags in (
                ("ever_better", called.better),
                ("ever_verdict_better", called.verdict),
                ("ever_worse", called.worse),
                ("ever_either", called.better | called.worse),
            )
        }
        rows.append(
            Row(
                kind=cell.variant, rho=cell.rho, way=way, series=reps, **shares,
                power_at_end=float(np.mean(end.better)), power_at_end_plain=float(np.mean(end_plain.better)),
                power_ever=float(np.mean(ever_moved.better)) if way == "all-before" else None,
                factor_at_end=float(np.mean(by)),
            )
        )  # fmt: skip
    return rows


def measured(cell: Cell, reps: int, seed: int) -> tuple[list[Row], tuple[Floats, Floats]]:
    """Measure one cell, and check the shared boundary on a few of its series."""
    return measure(cell, reps, seed), own_factors(cell, seed)


def report(rows: Sequence[Row], checks: Sequence[tuple[str, float, Floats, Floats]], seed: int) -> str:
    """Return the tables for people."""
    worst, worst_plain = (
        max(rows, key=lambda row: getattr(row, name)) for name in ("ever_better", "ever_better_plain")
    )
    either, over = max(row.ever_either for row in rows), sum(row.ever_better > BAR for row in rows)
    error = 100 * float(np.sqrt(0.05 * 0.95 / rows[0].series))
    lines = [
        "# Looking after every practice, measured",
        "",
        f"Made by `python -m analyses.looking_often --reps {rows[0].series} --seed {seed}`; what is drawn, and the "
        f"three ways of looking, stand at the top of that file. {rows[0].series:,} series a cell: the Monte-Carlo "
        f"standard error of a share of 5% is {error:.1f} points.",
        "",
        f"**A change that did nothing is ever called better in at most {worst.ever_better:.1%} of series** "
        f"({_named(worst)}); the bar is {BAR:.1%}, and {over} of {len(rows)} rows are above it. Without the boundary "
        f"it is up to {worst_plain.ever_better_plain:.1%} ({_named(worst_plain)}). The interval ever leaves out no "
        f"effect, on either side, in at most {either:.1%}, where 5% is meant.",
        "",
        "Better and worse: the interval leaves out no effect on that side, whatever the verdict asks besides. Verdict: "
        "better, and at least half the spread of the practices before. Each first without, then with the boundary.",
        "",
        "| kind | rho | way | ever better | verdict ever better | ever worse | ever either |",
        "|---|---|---|---|---|---|---|",
        *(_shares(row) for row in rows),
        "",
        "## The price",
        "",
        "Share of series in which the true effect of truth.py is found: at the end by one look without and with the "
        "boundary, and for all-before at any of the looks with it. The factor is that on the interval at the end.",
        "",
        "| kind | rho | way | one look at the end | the end, looked often | at any look | factor |",
        "|---|---|---|---|---|---|---|",
        *(_price(row) for row in rows),
        "",
        *_one_boundary(checks),
    ]
    return "\n".join(lines) + "\n"


def _one_boundary(checks: Sequence[tuple[str, float, Floats, Floats]]) -> list[str]:
    """Return the table that says what taking practices as equally noisy does."""
    return [
        "## One boundary for many series",
        "",
        f"{CHECKED} series a cell, 15 practices before and 8 after: the factor that takes practices as equally noisy, "
        "as in the tables above, and that for the noise of each series itself, as a single estimate uses it.",
        "",
        "| kind | rho | mean factor, equal noise | mean factor, own noise | mean absolute difference |",
        "|---|---|---|---|---|",
        *(
            f"| {kind} | {rho:g} | {shared.mean():.3f} | {own.mean():.3f} | {np.abs(shared - own).mean():.3f} |"
            for kind, rho, shared, own in checks
        ),
    ]


def _named(row: Row) -> str:
    return f"{row.kind}, rho {row.rho:g}, {row.way}"


def _shares(row: Row) -> str:
    names = ("ever_better", "ever_verdict_better", "ever_worse", "ever_either")
    cells = [f"{getattr(row, name + '_plain'):.1%}, **{getattr(row, name):.1%}**" for name in names]
    return f"| {row.kind} | {row.rho:g} | {row.way} | {' | '.join(cells)} |"


def _price(row: Row) -> str:
    shares = [
        "" if share is None else f"{share:.1%}" for share in (row.power_at_end_plain, row.power_at_end, row.power_ever)
    ]
    return f"| {row.kind} | {row.rho:g} | {row.way} | {' | '.join(shares)} | {row.factor_at_end:.2f} |"


def write_csv(rows: Sequence[Row], path: Path) -> None:
    """Write one row a cell and way of looking."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, [f.name for f in fields(Row)], lineterminator="\n")
        writer.writeheader()
        for row in rows:
            writer.writerow(
                {k: f"{v:.4f}" if isinstance(v, float) and k != "rho" else v for k, v in asdict(row).items()}
            )


def main(words: Sequence[str] | None = None) -> int:
    """Run the study."""
    parser = argparse.ArgumentParser(description="How often a do-nothing change is ever called better.")
    parser.add_argument("--reps", type=int, default=REPS, help=f"series a cell; {REPS} unless told")
    parser.add_argument("--seed", type=int, default=SEED, help=f"master seed; {SEED} unless told")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent, help="folder to write to")
    options = parser.parse_args(words)
    with Pool(2) as pool:
        waiting = [pool.apply_async(measured, (cell, options.reps, options.seed)) for cell in cells()]
        found = []
        for cell, one in zip(cells(), waiting, strict=True):
            found.append(one.get())
            print(f"{cell.name} done", file=sys.stderr, flush=True)
    rows = [row for part, _ in found for row in part]
    checks = [(cell.variant, cell.rho, *check) for cell, (_, check) in zip(cells(), found, strict=True)]
    options.out.mkdir(parents=True, exist_ok=True)
    write_csv(rows, options.out / "looking_often.csv")
    text = report(rows, checks, options.seed)
    (options.out / "looking_often.md").write_text(text, encoding="utf-8")
    print(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
