"""How often is what the demo says right, over many seasons of the invented club? Rampbook 0.1.0, 2026-11-25.

Data: the invented club of demo_data, one season a seed, 1 to N; nothing is written outside a temporary folder.
Prints, for each change and outcome, how often each judgement fell and how often the interval held the truth.

    python analyses/demo_club_seeds_2026_11_25.py 20
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads only wait for each other

from rampbook.cli.demo import invented_club
from rampbook.cli.judge import FALSE_ALARM, MISSED, RIGHT, RIGHTLY_SILENT, WRONG, Judged, judge
from rampbook.store import open_store
from rampbook.store.load import load_paths
from rampbook.workflow import effect_of_change

WORDS = (RIGHT, RIGHTLY_SILENT, MISSED, FALSE_ALARM, WRONG)


def season(seed: int) -> list[Judged]:
    """Judge every change of one season."""
    invented = invented_club()
    with TemporaryDirectory() as folder:
        sheets = Path(folder) / "sheets"
        invented.club.write_tables(sheets, seed=seed)
        with open_store(Path(folder) / "club.duckdb") as store:
            load_paths(store, [sheets])
            return [
                judge(truth, effect_of_change(store, truth.change, truth.outcome, sensitivity=False))
                for truth in invented.stories.TRUTHS
            ]


def report(seasons: list[list[Judged]]) -> list[str]:
    """Return one line a change and outcome, and one for all."""
    lines = [f"{'change':<8}{'outcome':<16}" + "".join(f"{word:>21}" for word in WORDS) + f"{'interval holds':>18}"]
    for column in zip(*seasons, strict=True):
        lines.append(_line(column[0].truth.change, column[0].truth.outcome, list(column)))
    return [*lines, _line("all", "", [one for judged in seasons for one in judged])]


def _line(change: str, outcome: str, judged: list[Judged]) -> str:
    counts = Counter(one.judgement for one in judged)
    holds = [one.holds for one in judged if one.holds is not None]
    share = f"{sum(holds)} of {len(holds)}" if holds else "-"
    return f"{change:<8}{outcome:<16}" + "".join(f"{counts[word]:>21}" for word in WORDS) + f"{share:>18}"


def main(n_seeds: int) -> None:
    """Run and print."""
    seasons = [season(seed) for seed in range(1, n_seeds + 1)]
    print("\n".join(report(seasons)))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
