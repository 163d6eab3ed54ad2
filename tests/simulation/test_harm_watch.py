"""The watch for harm keeps to the rates that users are told, and what they are told is what was measured.

A smaller run of `analyses/harm_watch.py`, by other seeds. With N watches a cell the Monte-Carlo standard error of a
share of 10% is sqrt(0.1 * 0.9 / N): 1.5 points at N = 400. A cell fails above the worst stated rate plus two of
them; the average of the cells, with a quarter of that error, above the usual stated rate plus two of them.
"""

from __future__ import annotations

import csv
import runpy
from dataclasses import asdict, replace
from math import sqrt
from pathlib import Path
from statistics import mean
from typing import Any

import pytest

from rampbook.estimators.watch_measured import BEFORES, DOUBLED, FALSE_ALARMS, TWO_POINTS, shows_after

FOLDER = Path(__file__).resolve().parents[2] / "analyses"
TABLE = FOLDER / "harm_watch.csv"
N_WATCHES = 400
LEAST = 5


@pytest.fixture(scope="module")
def analysis() -> dict[str, Any]:
    loaded = runpy.run_path(str(FOLDER / "harm_watch.py"))
    loaded["looks_of"].__globals__["SEED"] = 3
    return loaded


@pytest.fixture(scope="module")
def table() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def harmless(row: dict[str, str]) -> bool:
    return float(row["harm"]) == (1 if row["kind"] == "count" else 0)


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["count", "rating"])
def test_false_alarms_keep_to_what_is_told(kind: str, analysis: dict[str, Any]) -> None:
    still = [cell for cell in analysis["cells"]() if cell.kind == kind and cell.harmless]
    chosen = [cell for cell in still if cell.n_before in (5, 15) and cell.mean in (1.0, 8.0, 9.5)]
    shares = [analysis["measure"](cell, N_WATCHES).alerted[-1] for cell in chosen]
    usual, worst = FALSE_ALARMS[kind]
    assert max(shares) <= worst + 2 * sqrt(worst * (1 - worst) / N_WATCHES)
    # The cells chosen lean to the bad ones, so their average is held to the middle of both rates.
    assert mean(shares) <= (usual + worst) / 2 + 2 * sqrt(usual * (1 - usual) / N_WATCHES / len(shares))
    assert min(shares) > 0


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "level", "harm"), [("count", 8.0, 2.0), ("rating", 8.0, 2.0)])
def test_half_of_the_watches_see_harm_by_the_practice_that_is_told(
    kind: str, level: float, harm: float, analysis: dict[str, Any]
) -> None:
    cell = next(
        cell
        for cell in analysis["cells"]()
        if (cell.kind, cell.mean, cell.harm, cell.n_before, cell.rho) == (kind, level, harm, 8, 0.6)
    )
    told = shows_after(kind, cell.n_before, level)
    assert told is not None
    raised = [looks.raised for looks in analysis["looks_of"](cell, N_WATCHES)]
    by_then = mean(look is not None and look <= told for look in raised)
    assert by_then > 0.5 - 2 * sqrt(0.25 / N_WATCHES)


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "level", "harm"), [("count", 2.0, 1.0), ("rating", 8.0, 0.0)])
def test_the_table_is_what_the_watch_gives_today(
    kind: str, level: float, harm: float, table: list[dict[str, str]]
) -> None:
    """Two rows of the table made again, seed and size and all: the watch has not moved away from its figures."""
    analysis = runpy.run_path(str(FOLDER / "harm_watch.py"))
    cell = next(
        cell
        for cell in analysis["cells"]()
        if (cell.kind, cell.mean, cell.harm, cell.n_before, cell.rho) == (kind, level, harm, 8, 0.6)
    )
    (row,) = [row for row in table if all(row[name] == str(value) for name, value in asdict(cell).items())]
    shares = analysis["measure"](cell, int(row["repetitions"])).alerted
    assert [f"{share:.4f}" for share in shares] == [row["alerted_5"], row["alerted_10"], row["alerted_15"]]


def test_the_rates_that_are_told_are_those_of_the_table(table: list[dict[str, str]]) -> None:
    for kind, (usual, worst) in FALSE_ALARMS.items():
        still = [row for row in table if row["kind"] == kind and harmless(row) and int(row["n_before"]) >= LEAST]
        shares = [float(row["alerted_15"]) for row in still]
        assert usual == pytest.approx(mean(shares), abs=5e-4)
        assert worst == pytest.approx(max(shares), abs=5e-4)


def test_the_medians_that_are_told_are_the_slowest_of_the_table(table: list[dict[str, str]]) -> None:
    def slowest(kind: str, n_before: int, level: float | None) -> float | None:
        found = [
            float(row["median_practices"] or "inf")
            for row in table
            if row["kind"] == kind and not harmless(row) and int(row["n_before"]) == n_before
            if level is None or float(row["mean"]) == level
        ]
        return None if max(found) == float("inf") else max(found)

    for level, told in DOUBLED.items():
        assert told == tuple(slowest("count", n, level) for n in BEFORES), level
    assert tuple(slowest("rating", n, None) for n in BEFORES) == TWO_POINTS


def test_the_table_holds_every_cell_of_the_analysis(analysis: dict[str, Any], table: list[dict[str, str]]) -> None:
    cells = [{name: str(value) for name, value in asdict(cell).items()} for cell in analysis["cells"]()]
    assert [{name: row[name] for name in cells[0]} for row in table] == cells
    assert {row["repetitions"] for row in table} == {"1000"}


def test_the_report_sets_false_alarms_beside_harm_found(analysis: dict[str, Any]) -> None:
    cells = [replace(cell, n_before=5) for cell in analysis["cells"]()[:1]]
    pair = [cells[0], replace(cells[0], harm=2.0)]
    ratings = [replace(cells[0], kind="rating", mean=8.0, harm=harm) for harm in (0.0, 2.0)]
    lines = analysis["report"]([analysis["measure"](cell, 4) for cell in pair + ratings])
    assert sum(line.startswith(("| 0.3 |", "| 8 |")) for line in lines) == 2


@pytest.mark.parametrize(
    ("kind", "n_before", "events", "place"),
    [("count", 7, 2.9, (2.0, 1)), ("count", 40, 100, (8.0, 3)), ("rating", 3, 0, (None, 0))],
)
def test_what_lies_between_two_cells_is_told_by_the_slower(
    kind: str, n_before: int, events: float, place: tuple[float | None, int]
) -> None:
    level, i = place
    assert shows_after(kind, n_before, events) == (TWO_POINTS if level is None else DOUBLED[level])[i]


def test_what_was_never_measured_is_not_told() -> None:
    assert shows_after("count", 2, 8.0) is None and shows_after("count", 8, 0.1) is None
