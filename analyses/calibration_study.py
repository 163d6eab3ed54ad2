"""How honest is the estimator at club size? Rampbook 0.1.0, 2026-11-25.

Data: invented series with a stated truth, drawn here; see calibration/cells.py for the grid and calibration/truth.py
for the truth. Every cell has its own seed, a child of the one given, so a part of the grid can be run alone and
gives the same numbers.

    python -m analyses.calibration_study --seed 20261125

The whole grid writes table.csv, summary.md and the charts into analyses/calibration. A reduced run (--reps, --only,
--cells) prints its summary, and writes only where --out says.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Sequence
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads only wait for each other

from analyses.calibration.cells import KINDS, cells_like
from analyses.calibration.ours import rampbook_answers
from analyses.calibration.pictures import write_pictures
from analyses.calibration.study import Row, run_cells
from analyses.calibration.summary import summary
from analyses.calibration.table import write_table

SEED = 20261125
HOME = Path(__file__).resolve().parent / "calibration"
TELL_EVERY = 20


def read_options(words: Sequence[str] | None) -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(description="Calibration study of the estimator.")
    parser.add_argument("--seed", type=int, default=SEED, help=f"master seed; {SEED} unless told")
    parser.add_argument("--reps", type=int, help="series a cell; 4,000 for times and 2,000 for the others unless told")
    parser.add_argument("--only", choices=KINDS, help="one kind of outcome")
    parser.add_argument("--cells", default="*", help="pattern of cell names, as in 'time once-* alone rho0.6 *'")
    parser.add_argument("--workers", type=int, default=2, help="processes")
    parser.add_argument("--resume", type=Path, help="file that keeps finished cells, to take up from after a stop")
    parser.add_argument("--out", type=Path, help="folder to write to")
    return parser.parse_args(words)


def write(rows: Sequence[Row], seed: int, folder: Path) -> None:
    """Write table, summary and charts."""
    folder.mkdir(parents=True, exist_ok=True)
    write_table(rows, folder / "table.csv")
    (folder / "summary.md").write_text(summary(rows, seed), encoding="utf-8")
    write_pictures(rows, folder)


def main(words: Sequence[str] | None = None) -> int:
    """Run the study."""
    options = read_options(words)
    cells = cells_like(options.cells, kind=options.only)
    if not cells:
        print(f"No cell is called like {options.cells!r}. A name is: time once-16 alone rho0.6 learning break")
        return 2
    begun = time.perf_counter()

    def tell(done: int, of: int) -> None:
        if done % TELL_EVERY == 0 or done == of:
            print(f"{done} of {of} cells, {time.perf_counter() - begun:.0f} s", file=sys.stderr, flush=True)

    rows = run_cells(
        cells,
        options.seed,
        estimator=rampbook_answers,
        reps=options.reps,
        workers=options.workers,
        resume=options.resume,
        tell=tell,
    )
    print(summary(rows, options.seed))
    whole = options.reps is None and options.only is None and options.cells == "*"
    folder = options.out or (HOME if whole else None)
    if folder is not None:
        write(rows, options.seed, folder)
        print(f"Written to {folder}.", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
