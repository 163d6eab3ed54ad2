"""How long the commands take to start, as ratios to the bare import of what they need, side by side in one run.

Dated 2026-11-25, Rampbook 0.1.0. Each time is the best of several runs of a fresh process; the runs of a command
and of its bare import take turns, so that a busy machine slows both. Data: the invented club, and a store of one
made-up athlete; nothing outside a temporary folder is touched. Run it with: python analyses/bench_startup.py
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

SMALL = "import duckdb, typer"
LARGE = "import duckdb, altair, statsmodels.api"
CLUB_PRACTICES, PRACTICES_BEFORE = 16, 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One command, the bare import that it is held against, and the bar."""

    name: str
    args: tuple[str, ...]
    bare: str
    bar: float
    runs: int = 5


def cases(folder: Path) -> list[Case]:
    """Return the commands that are timed."""
    change = ("change", "A01", "--profile", "1", "--setting", "throw_left", "--to", "50", "--why", "w")
    return [
        Case(name="--help", args=("--help",), bare=SMALL, bar=2.5),
        Case(name="settings", args=("settings", "A01", "--can", "throw_left=40"), bare=SMALL, bar=2.5),
        Case(
            name="change", args=(*change, "--role", "coach", "--on", "2026-06-01"), bare=SMALL, bar=2.5,
        ),
        Case(
            name="practice", bare=SMALL, bar=2.5,
            args=("practice", "A01", "--on", "2026-06-02", "--drill", "slalom", "--seconds", "12.4"),
        ),
        Case(
            name="effect, with its chart", bare=LARGE, bar=1.5,
            args=("effect", "CH1", "--outcome", "drill:slalom", "--picture", str(folder / "effect.svg")),
        ),
        Case(name="demo", args=("demo", "--out", str(folder / "demo")), bare=LARGE, bar=6.0, runs=2),
    ]  # fmt: skip


def fill(run: Path) -> None:
    """Make the store that the commands work on: one change, practices on both sides of it."""
    call(run, "athlete", "A01", "--consent", "club")
    call(run, "sheet", "A01", "--profile", "1", "--on", "2026-01-01", "throw_left=60")
    call(run, "change", "A01", "--profile", "1", "--setting", "throw_left", "--to", "55", "--why", "w",
         "--role", "coach", "--on", "2026-02-01", "--id", "CH1")  # fmt: skip
    for i in range(CLUB_PRACTICES):
        on = f"2026-01-{10 + i}" if i < PRACTICES_BEFORE else f"2026-02-{10 + i}"
        seconds = [f"{13 - 0.05 * i + 0.3 * ((7 * i + k) % 5 - 2) / 2:.2f}" for k in range(4)]
        given = [part for value in seconds for part in ("--seconds", value)]
        call(run, "practice", "A01", "--on", on, "--profile", "1", "--drill", "slalom", *given)


def call(folder: Path, *args: str) -> None:
    """Run a command in a fresh process; 1 is an answer too: done, but a person should look."""
    code = "from rampbook.cli.app import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, *args],
        env=environment(folder),
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode not in (0, 1):
        raise SystemExit(f"rampbook {' '.join(args)} ended with {done.returncode}: {done.stderr}")


def environment(folder: Path) -> dict[str, str]:
    """Return the environment of a command: its own store, this copy of Rampbook."""
    source = Path(__file__).resolve().parents[1] / "src"
    # Compiled modules are kept, in the folder of this run, as they are wherever Rampbook is installed.
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {
        **kept,
        "RAMPBOOK_STORE": str(folder / "club.duckdb"),
        "PYTHONPATH": str(source),
        "PYTHONPYCACHEPREFIX": str(folder / "compiled"),
    }


def bare_seconds(folder: Path, code: str) -> float:
    """Return how long a fresh process takes to import, seconds."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], env=environment(folder), check=True)
    return time.perf_counter() - start


def command_seconds(folder: Path, args: tuple[str, ...]) -> float:
    """Return how long a command takes in a fresh process, seconds."""
    start = time.perf_counter()
    call(folder, *args)
    return time.perf_counter() - start


def main() -> int:
    """Print one line a command; return 1 when one misses its bar."""
    missed = 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        fill(folder)
        print(f"{'command':<24}{'seconds':>9}{'bare':>9}{'ratio':>8}{'bar':>6}")
        for case in cases(folder):
            bare_seconds(folder, case.bare)
            pairs = [
                (command_seconds(folder, case.args), bare_seconds(folder, case.bare))
                for _ in range(case.runs)
            ]
            took, bare = (min(times) for times in zip(*pairs, strict=True))
            missed += took / bare > case.bar
            print(f"{case.name:<24}{took:>9.2f}{bare:>9.2f}{took / bare:>8.2f}{case.bar:>6.1f}", flush=True)
    return int(missed > 0)


if __name__ == "__main__":
    raise SystemExit(main())
