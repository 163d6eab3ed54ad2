"""The root command: the table of commands, exits, and what the everyday commands never load."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest
from typer.testing import CliRunner

import rampbook
from rampbook.cli.app import COMMANDS, app

HEAVY = ("polars", "numpy", "pandas", "altair", "scipy", "statsmodels", "pyarrow", "jinja2", "pydantic")


def run(*args: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, list(args))
    return result.exit_code, result.stdout + result.stderr


def test_the_version_is_printed() -> None:
    assert run("--version") == (0, f"rampbook {rampbook.__version__}\n")


def test_help_lists_every_command() -> None:
    code, shown = run("--help")
    assert code == 0
    for name in COMMANDS:
        assert f"\n  {name} " in shown


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_its_module_and_help(name: str) -> None:
    assert find_spec(f"rampbook.cli.{COMMANDS[name][0]}") is not None
    code, shown = run(name, "--help")
    assert code == 0
    assert "Usage:" in shown


def test_a_mistyped_command_is_answered_with_close_names() -> None:
    code, shown = run("setings")
    assert code == 2
    assert "No such command 'setings'. Did you mean 'settings'" in shown


SCRIPT = """
import sys
from rampbook.cli.app import app

CHANGE = ["change", "A01", "--profile", "1", "--setting", "throw_left", "--why", "w", "--role", "coach"]
CALLS = [
    ["--help"],
    ["athlete", "A01", "--consent", "club"],
    ["sheet", "A01", "--profile", "1", "--on", "2026-01-10", "throw_left=60"],
    ["settings", "A01", "--can", "throw_left=40"],
    [*CHANGE, "--to", "55", "--on", "2026-02-01", "--id", "CH1"],
    ["goback", "CH1", "--on", "2026-03-01"],
    ["practice", "A01", "--on", "2026-03-02", "--drill", "slalom", "--seconds", "12,4"],
    ["event", "A01", "--event", "tyres"],
]
for call in CALLS:
    code = app(call, standalone_mode=False)
    assert not code, (call, code)
    loaded = [name for name in sys.argv[1:] if name in sys.modules]
    assert not loaded, (call, loaded)
"""


def test_everyday_commands_never_load_heavy_libraries(tmp_path: Path) -> None:
    source = Path(rampbook.__file__).parents[1]
    env = {**os.environ, "RAMPBOOK_STORE": str(tmp_path / "club.duckdb"), "PYTHONPATH": str(source)}
    command = [sys.executable, "-c", SCRIPT, *HEAVY]
    done = subprocess.run(command, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
