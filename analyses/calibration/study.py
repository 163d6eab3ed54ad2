"""Run cells: draw, estimate, measure, and judge the usual methods on the same series."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, field
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from analyses.calibration.cells import REPS, Cell, cell_named
from analyses.calibration.judge import ALPHA, Answers, Estimator, Measured, measure, misses
from analyses.calibration.oracle import OraclePower, oracle_power
from analyses.calibration.simulate import Simulated, simulate
from analyses.calibration.truth import marginal_effect, stated_effect, true_effect
from analyses.calibration.usual import usual_false_positives

BEYOND = 2.0
"""A miss is beyond Monte Carlo error when the bar is broken by more than this many standard errors."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One cell of the table.

    Attributes
    ----------
    true_effect, marginal_effect : float
        What an estimate is compared with, and the effect on average over practice effects; link scale.
    oracle : OraclePower
    usual : dict of str to float
        False positives of the usual methods on the same do-nothing series.
    """

    cell: Cell
    measured: Measured
    true_effect: float
    marginal_effect: float
    oracle: OraclePower
    usual: dict[str, float] = field(default_factory=dict)

    @property
    def power_ratio(self) -> float:
        """Power over that of the oracle that knows the covariance, and like Rampbook allows a shared step."""
        return self.measured.power / self.oracle.z

    @property
    def power_ratio_unknown_scale(self) -> float:
        """Power over that of the oracle that does not know the scale."""
        return self.measured.power / self.oracle.t

    @property
    def misses(self) -> tuple[str, ...]:
        """Bars that the measured shares break."""
        return misses(self.measured, self.oracle.z)

    @property
    def misses_beyond_error(self) -> tuple[str, ...]:
        """Bars that are broken by more than the Monte Carlo error can explain."""
        return misses(self.measured, self.oracle.z, errors=BEYOND)


def answers_of(cell: Cell, reps: int, seed: int, estimator: Estimator) -> tuple[Simulated, Answers, Answers]:
    """Draw a cell without and with its effect, and ask an estimator of both; gives the do-nothing series too."""
    nothing = simulate(cell, reps, cell.seed(seed), effect=0.0)
    of_nothing = estimator(nothing, 1 - ALPHA)
    if cell.kind == "time":
        return nothing, of_nothing, of_nothing.moved(true_effect(cell))
    something = simulate(cell, reps, cell.seed(seed), effect=stated_effect(cell))
    return nothing, of_nothing, estimator(something, 1 - ALPHA)


def measure_cell(cell: Cell, reps: int, seed: int, estimator: Estimator) -> Measured:
    """Measure an estimator in one cell."""
    _, nothing, something = answers_of(cell, reps, seed, estimator)
    return measure(nothing, something, true_effect(cell))


def run_cell(cell: Cell, seed: int, *, estimator: Estimator, reps: int | None = None) -> Row:
    """Measure an estimator, the usual methods and the oracle in one cell."""
    nothing, of_nothing, of_something = answers_of(cell, reps or REPS[cell.kind], seed, estimator)
    return Row(
        cell=cell,
        measured=measure(of_nothing, of_something, true_effect(cell)),
        true_effect=true_effect(cell),
        marginal_effect=marginal_effect(cell),
        oracle=oracle_power(nothing, stated_effect(cell), ALPHA),
        usual=usual_false_positives(nothing, ALPHA),
    )


def run_cells(
    cells: Sequence[Cell],
    seed: int,
    *,
    estimator: Estimator,
    reps: int | None = None,
    workers: int = 2,
    resume: Path | None = None,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> list[Row]:
    """Run cells in several processes.

    Parameters
    ----------
    estimator : Estimator
        Known by its name to other processes, so defined at the top of a module.
    reps : int, optional
        Series a cell; as ``cells.REPS`` says unless told.
    resume : Path, optional
        A file that keeps every finished cell at once; cells in it with the same seed and repetitions are not
        run again. Delete it when the estimator changes.
    tell : callable
        Told after each cell how many are done, and of how many.
    """
    kept = _kept(resume, seed, reps)
    left = [cell for cell in cells if cell.name not in kept]
    task = partial(run_cell, seed=seed, estimator=estimator, reps=reps)
    for row in _fresh(left, task, workers):
        kept[row.cell.name] = row
        if resume is not None:
            with resume.open("a", encoding="utf-8") as file:
                file.write(json.dumps({"seed": seed, "reps": reps, "row": _packed(row)}) + "\n")
        tell(len(kept), len(cells))
    return [kept[cell.name] for cell in cells]


def _fresh(cells: Sequence[Cell], task: Callable[[Cell], Row], workers: int) -> Iterator[Row]:
    if workers == 1 or len(cells) < 2:
        yield from map(task, cells)
        return
    # A fresh process, not a copy of this one: a copy may hang on a lock that another thread held.
    with ProcessPoolExecutor(max_workers=workers, mp_context=get_context("spawn")) as pool:
        yield from pool.map(task, cells)


def _packed(row: Row) -> dict[str, object]:
    return {**asdict(row), "cell": row.cell.name}


def _kept(resume: Path | None, seed: int, reps: int | None) -> dict[str, Row]:
    if resume is None or not resume.exists():
        return {}
    lines = [json.loads(line) for line in resume.read_text(encoding="utf-8").splitlines()]
    rows = [line["row"] for line in lines if (line["seed"], line["reps"]) == (seed, reps)]
    return {row["cell"]: _unpacked(row) for row in rows}


def _unpacked(row: dict[str, object]) -> Row:
    parts = {
        "cell": cell_named(str(row["cell"])),
        "measured": Measured(**row["measured"]),  # type: ignore[arg-type]  # written by _packed
        "oracle": OraclePower(**row["oracle"]),  # type: ignore[arg-type]  # written by _packed
    }
    return Row(**{**row, **parts})  # type: ignore[arg-type]  # written by _packed
