"""How fast a league is estimated, beside loops of statsmodels fits in the same run, and whether the answers agree.

    python analyses/bench_league.py

Prints: agreement with GLS over the same grid; the ratio to a loop of GLS fits over the grid (at least 100) and to a
loop of GLSAR fits (at least 25); peak memory (below 1 GiB); and the exponent of time in the number of series, from
1,000 to 100,000 (at most 1.05). The loops are timed on a sample of the series and compared per series. Exit 1 when a
bar is missed.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import resource
import sys
import time
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import polars as pl
import statsmodels.api as sm

from rampbook import estimate_many
from rampbook.estimators.grid import grid_for
from rampbook.estimators.kernel import Floats, fit_effect

SEED = 20261125
N_SERIES = 20_000
GLS_SAMPLE, GLSAR_SAMPLE, TURNS = 60, 400, 5
SIZES = (1_000, 10_000, 100_000)
LEAST_GLS, LEAST_GLSAR, MOST_BYTES, MOST_EXPONENT, CLOSE = 100.0, 25.0, 2**30, 1.05, 1e-8


def league(n_series: int) -> pl.DataFrame:
    """Give drill times of series of 16 to 40 practices, each on days of its own, with 1 to 8 attempts summed up."""
    rng = np.random.default_rng(SEED)
    n = rng.integers(16, 41, n_series)
    owner = np.repeat(np.arange(n_series), n)
    place = np.concatenate([np.arange(k) for k in n])
    days = np.cumsum(rng.integers(2, 10, owner.size))
    value = np.exp(3.0 - 0.005 * place + 0.08 * rng.normal(size=owner.size))
    return pl.DataFrame(
        {"athlete": owner, "practice": days, "phase": (place >= np.repeat(n // 2, n)).astype(np.int64), "value": value}
    )


def parts_of(table: pl.DataFrame, how_many: int) -> list[tuple[Floats, Floats, Floats]]:
    """Give response, design and gaps of the first series."""
    found = []
    for part in table.filter(pl.col("athlete") < how_many).partition_by("athlete", maintain_order=True):
        y, phase = np.log(part["value"].to_numpy()), part["phase"].to_numpy().astype(float)
        steps = np.diff(part["practice"].to_numpy().astype(float))
        place = np.arange(y.size) - (y.size - 1) / 2
        design = np.column_stack([np.ones(y.size), place, phase])
        found.append((y, design, np.concatenate([[1.0], steps / np.median(steps)])))
    return found


def gls_grid(y: Floats, design: Floats, gaps: Floats) -> tuple[Floats, Floats]:
    """Fit one series by statsmodels GLS at every grid point: coefficients of the change, and their standard errors."""
    grid, clock = grid_for("time"), np.cumsum(gaps)
    apart, steps = np.abs(np.subtract.outer(clock, clock)), np.abs(np.subtract.outer(range(y.size), range(y.size)))
    beta, se = np.empty(grid.size), np.empty(grid.size)
    for g in range(grid.size):
        sign = np.where(steps % 2 == 1, np.sign(grid.rho[g]), 1.0)
        covariance = (1 - grid.h[g]) * sign * abs(grid.rho[g]) ** apart + grid.h[g] * np.eye(y.size)
        fit: Any = sm.GLS(y, design, sigma=covariance).fit()
        beta[g], se[g] = fit.params[2], fit.bse[2]
    return beta, se


def glsar(y: Floats, design: Floats, gaps: Floats) -> tuple[float, float]:
    """Fit one series by statsmodels GLSAR with one lag, as its documentation does."""
    fit: Any = sm.GLSAR(y, design, rho=1).iterative_fit(maxiter=10)
    return float(fit.params[2]), float(fit.pvalues[2])


def timed(what: Callable[[], Any], repeats: int = 3) -> tuple[float, Any]:
    """Give the least of some wall-clock times, and the last answer."""
    best, answer = np.inf, None
    for _ in range(repeats):
        start = time.perf_counter()
        answer = what()
        best = min(best, time.perf_counter() - start)
    return best, answer


def agreement(parts: list[tuple[Floats, Floats, Floats]]) -> float:
    """Largest difference of the kernel from statsmodels over the sample and the grid."""
    worst = 0.0
    for y, design, gaps in parts:
        beta, se = gls_grid(y, design, gaps)
        fit = fit_effect(y[None], design[None], gaps[None], np.ones((1, y.size)), grid_for("time"))
        worst = max(worst, float(np.max(np.abs(fit.beta[0] - beta))), float(np.max(np.abs(fit.se[0] - se))))
    return worst


def exponent() -> tuple[float, list[float]]:
    """Slope of log time on log number of series."""
    seconds = []
    for size in SIZES:
        table = league(size)
        seconds.append(timed(partial(estimate_many, table, by=["athlete"], kind="time"))[0])
    return float(np.polyfit(np.log(SIZES), np.log(seconds), 1)[0]), seconds


def main() -> int:
    """Measure, print, and say whether every bar is kept."""
    table = league(N_SERIES)
    sample = parts_of(table, GLSAR_SAMPLE)
    rivals: dict[str, Callable[[], Any]] = {
        "ours": partial(estimate_many, table, by=["athlete"], kind="time"),
        "gls": lambda: [gls_grid(*part) for part in sample[:GLS_SAMPLE]],
        "glsar": lambda: [glsar(*part) for part in sample],
    }
    # In turns, the best of each: a busy moment then strikes all of them alike.
    turns = [{name: timed(rival, 1)[0] for name, rival in rivals.items()} for _ in range(TURNS)]
    ours, by_gls, by_glsar = (min(turn[name] for turn in turns) for name in rivals)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    each = ours / N_SERIES
    worst = agreement(sample[:GLS_SAMPLE])
    slope, seconds = exponent()
    gls, auto = by_gls / GLS_SAMPLE / each, by_glsar / GLSAR_SAMPLE / each
    rows = [
        ("largest difference from statsmodels GLS", worst, worst <= CLOSE, f"at most {CLOSE:g}"),
        ("times a loop of GLS over the grid", gls, gls >= LEAST_GLS, f"at least {LEAST_GLS:g}"),
        ("times a loop of GLSAR", auto, auto >= LEAST_GLSAR, f"at least {LEAST_GLSAR:g}"),
        ("peak memory, GiB", memory / 2**30, memory < MOST_BYTES, "below 1"),
        ("exponent of time in the number of series", slope, slope <= MOST_EXPONENT, "at most 1.05"),
    ]
    print(f"{N_SERIES} series of 16 to 40 practices: {ours:.2f} s, {1e6 * each:.0f} microseconds a series")
    for name, value, kept, bar in rows:
        print(f"{name:45s} {value:12.4g}   bar {bar:12s} {'kept' if kept else 'MISSED'}")
    print("seconds for " + ", ".join(f"{n}: {s:.2f}" for n, s in zip(SIZES, seconds, strict=True)))
    return 0 if all(kept for _, _, kept, _ in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
