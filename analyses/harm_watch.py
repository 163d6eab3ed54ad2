"""How often the watch for harm is wrong, and how soon it sees harm. Rampbook 0.1.0, 2026-11-25.

Data: made-up series, drawn with the seed below; the watch is the one that the commands use. Counts: the rate of a
practice is lognormal about its mean with variance ``dispersion`` times the mean squared, neighbours correlated
``rho`` on the log scale; the count is Poisson. Ratings: normal about their mean, SD 1 point, neighbours correlated
``rho``, rounded to whole points and kept within 0 to 10. Looks follow each of 15 practices after the change. ``harm``
is what the change did: a ratio of rates, or points off a rating; 1 and 0 did nothing.

    python analyses/harm_watch.py [REPETITIONS] [FOLDER]

writes harm_watch.csv and harm_watch.md into the folder (default: this one) and takes about ten minutes.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from itertools import product
from multiprocessing import Pool
from pathlib import Path
from statistics import mean, median

import numpy as np

from rampbook.estimators.watch import MOST_AFTER, Looks, count_looks, rating_looks

SEED = 20261125
HORIZONS = (5, 10, 15)
MEANS, RATING_MEANS = (0.3, 1.0, 2.0, 8.0), (6.0, 8.0, 9.5)
SPREADS = ((0.0, 0.0), (0.3, 0.0), (0.3, 0.6))
BEFORES = (3, 5, 8, 15)
RATING_SD = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One made-up world."""

    kind: str
    mean: float
    dispersion: float
    rho: float
    n_before: int
    harm: float

    @property
    def harmless(self) -> bool:
        """Whether the change did nothing."""
        return self.harm == (1.0 if self.kind == "count" else 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Shares alerted within so many practices, and the practice at which half were (None: not within 15)."""

    cell: Cell
    repetitions: int
    alerted: tuple[float, ...]
    median_practices: float | None


def cells() -> list[Cell]:
    """Return every cell, in the order of the table."""
    counts = [
        Cell(kind="count", mean=m, dispersion=d, rho=rho, n_before=n, harm=harm)
        for harm, m, (d, rho), n in product((1.0, 2.0), MEANS, SPREADS, BEFORES)
    ]
    ratings = [
        Cell(kind="rating", mean=m, dispersion=0.0, rho=rho, n_before=n, harm=harm)
        for harm, m, rho, n in product((0.0, 2.0), RATING_MEANS, (0.0, 0.6), BEFORES)
    ]
    return counts + ratings


def looks_of(cell: Cell, repetitions: int) -> list[Looks]:
    """Draw the series of a cell and watch each."""
    key = [SEED, *(int(10 * value) for value in (cell.mean, cell.dispersion, cell.rho, cell.harm)), cell.n_before]
    rng = np.random.default_rng([*key, cell.kind == "count"])
    n, steady = cell.n_before + MOST_AFTER, _steady(rng, repetitions, cell.n_before + MOST_AFTER, cell.rho)
    after = np.arange(n) >= cell.n_before
    if cell.kind == "rating":
        typed = np.clip(np.round(cell.mean - cell.harm * after + RATING_SD * steady), 0, 10)
        return [rating_looks((-row).tolist(), cell.n_before) for row in typed]
    log_variance = np.log1p(cell.dispersion)
    rate = cell.mean * np.exp(np.sqrt(log_variance) * steady - log_variance / 2) * np.where(after, cell.harm, 1.0)
    return [count_looks(row.tolist(), [1.0] * n, cell.n_before) for row in rng.poisson(rate)]


def _steady(rng: np.random.Generator, repetitions: int, n: int, rho: float) -> np.ndarray:
    """Draw standard normal series whose neighbours are correlated ``rho``."""
    out = rng.normal(size=(repetitions, n))
    for t in range(1, n):
        out[:, t] = rho * out[:, t - 1] + np.sqrt(1 - rho**2) * out[:, t]
    return out


def measure(cell: Cell, repetitions: int) -> Measured:
    """Count the alerts of one cell."""
    raised = [looks.raised or MOST_AFTER + 1 for looks in looks_of(cell, repetitions)]
    middle = median(raised)
    return Measured(
        cell=cell,
        repetitions=repetitions,
        alerted=tuple(mean(look <= horizon for look in raised) for horizon in HORIZONS),
        median_practices=None if middle > MOST_AFTER else middle,
    )


def write_csv(rows: Sequence[Measured], path: Path) -> None:
    """Write one row a cell."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        head = [f"alerted_{horizon}" for horizon in HORIZONS]
        writer.writerow([*Cell.__slots__, "repetitions", *head, "median_practices"])
        for row in rows:
            shares = [f"{share:.4f}" for share in row.alerted]
            middle = "" if row.median_practices is None else f"{row.median_practices:g}"
            writer.writerow([*asdict(row.cell).values(), row.repetitions, *shares, middle])


def report(rows: Sequence[Measured]) -> list[str]:
    """Return the table for people."""
    lines = [
        "# The watch for harm, measured",
        "",
        f"Made by `python analyses/harm_watch.py {rows[0].repetitions}`, seed {SEED}; what the columns mean stands at "
        "the top of that file. Shares are of watches that raised an alert within 5, 10 and 15 practices after the "
        "change; the median is the practice at which half had (none: not within 15). The Monte-Carlo standard error "
        f"of a share of 7% is {100 * (0.07 * 0.93 / rows[0].repetitions) ** 0.5:.1f} points.",
    ]
    for kind, what in (("count", "rate doubled"), ("rating", "rating 2 points worse")):
        mine = [row for row in rows if row.cell.kind == kind]
        still = [row.alerted[-1] for row in mine if row.cell.harmless and row.cell.n_before >= 5]
        lines += ["", f"## {kind.capitalize()}s", ""]
        lines.append(
            f"False alarms over 15 looks, 5 or more practices before: {mean(still):.1%} on average over the cells, "
            f"{max(still):.1%} in the worst."
        )
        lines += ["", "| mean | dispersion | rho | before | false by 5, 10, 15 | harm by 5, 10, 15 | median |"]
        lines += ["|---|---|---|---|---|---|---|"]
        lines += [_line(row, _harmed(row, mine)) for row in mine if row.cell.harmless]
        lines += ["", f'"Harm" here: {what}.']
    return lines


def _harmed(row: Measured, rows: Sequence[Measured]) -> Measured:
    """Return the same world with harm in it."""
    shared = asdict(row.cell) | {"harm": None}
    return next(one for one in rows if not one.cell.harmless and asdict(one.cell) | {"harm": None} == shared)


def _line(still: Measured, harmed: Measured) -> str:
    cell = still.cell
    false, found = (", ".join(f"{share:.1%}" for share in row.alerted) for row in (still, harmed))
    middle = "none" if harmed.median_practices is None else f"{harmed.median_practices:g}"
    return f"| {cell.mean:g} | {cell.dispersion:g} | {cell.rho:g} | {cell.n_before} | {false} | {found} | {middle} |"


def main(repetitions: int, folder: Path) -> None:
    """Measure every cell and write both files."""
    with Pool() as pool:
        rows = pool.starmap(measure, [(cell, repetitions) for cell in cells()], chunksize=1)
    write_csv(rows, folder / "harm_watch.csv")
    (folder / "harm_watch.md").write_text("\n".join(report(rows)) + "\n", encoding="utf-8")
    print("\n".join(report(rows)))


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 1000,
        Path(sys.argv[2]) if len(sys.argv) > 2 else Path(__file__).parent,
    )
