"""How long a million attempts take to load, beside DuckDB's own COPY of the same file into a table of the same types.

Prints both times, their ratio and the memory used. Written for Rampbook 0.1.0; the data are made here, with a seed.

    python analyses/bench_load.py [ROWS]
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

import duckdb

from rampbook.store import open_store
from rampbook.store.load import load_paths

BAR = 3.0
ATTEMPTS_A_PRACTICE = 20
ATHLETES = 8
_COLUMNS = (
    "attempt varchar not null, practice varchar not null, athlete varchar not null, profile integer, "
    "drill varchar not null, seconds double check (isfinite(seconds) and seconds > 0), "
    "finished integer check (finished in (0, 1)), limit_s double check (isfinite(limit_s) and limit_s > 0), "
    "touches integer check (touches >= 0), timer varchar"
)


def make_files(folder: Path, rows: int) -> Path:
    """Write athletes, practices and attempts of an invented squad; return the file of attempts."""
    attempts, maker = folder / "attempts.csv", duckdb.connect()
    maker.execute("select setseed(0.5)").fetchall()
    maker.execute(
        f"copy (select 'K0' || i as athlete, 'club' as consent from range(1, {ATHLETES + 1}) as r(i)) "
        f"to '{folder / 'athletes.csv'}' (header)"
    )
    maker.execute(
        f"copy (select 'P' || i as practice, 'K0' || (i % {ATHLETES} + 1) as athlete, "
        "date '2000-01-01' + (i // 8)::integer as \"on\" "
        f"from range({rows // ATTEMPTS_A_PRACTICE + 1}) as r(i)) to '{folder / 'practices.csv'}' (header)"
    )
    maker.execute(
        f"copy (select 'A' || i as attempt, 'P' || (i // {ATTEMPTS_A_PRACTICE}) as practice, "
        f"'K0' || ((i // {ATTEMPTS_A_PRACTICE}) % {ATHLETES} + 1) as athlete, 2 as profile, 'slalom' as drill, "
        "round(10 + 5 * random(), 2) as seconds, 1 as finished, 30 as limit_s, (3 * random())::integer as touches, "
        f"'T1' as timer from range({rows}) as r(i)) to '{attempts}' (header)"
    )
    return attempts


def copy_seconds(attempts: Path, folder: Path) -> float:
    """Return the seconds that DuckDB takes to copy the file into a table of the same types, and to close."""
    connection = duckdb.connect(str(folder / "copy.duckdb"))
    connection.execute(f"create table attempts ({_COLUMNS})")
    start = time.perf_counter()
    connection.execute(f"copy attempts from '{attempts}' (header)")
    connection.close()
    return time.perf_counter() - start


def load_seconds(attempts: Path, folder: Path) -> tuple[float, int]:
    """Return the seconds that Rampbook takes to load the file, and to close, and how many rows went in."""
    store = open_store(folder / "club.duckdb")
    load_paths(store, [folder / "athletes.csv", folder / "practices.csv"])
    start = time.perf_counter()
    report = load_paths(store, [attempts])
    store.close()
    return time.perf_counter() - start, report.loaded["attempts"]


def main() -> None:
    """Measure each three times, by turns, and print the medians."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    copies, loads = [], []
    for _ in range(3):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            attempts = make_files(folder, rows)
            copies.append(copy_seconds(attempts, folder))
            seconds, loaded = load_seconds(attempts, folder)
            loads.append(seconds)
            if loaded != rows:
                raise SystemExit(f"{loaded} of {rows} rows went in: the file or the loader is wrong")
    copied, loaded_s = sorted(copies)[1], sorted(loads)[1]
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"rows                 {rows:,}")
    print(f"DuckDB copy          {copied:.2f} s")
    print(f"rampbook load        {loaded_s:.2f} s")
    print(f"ratio                {loaded_s / copied:.2f} (bar: at most {BAR:g})")
    print(f"most memory used     {memory_mb:.0f} MB")


if __name__ == "__main__":
    main()
