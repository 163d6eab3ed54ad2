"""A store of one small invented club, and a way to call the commands on it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from rampbook.cli.app import app
from rampbook.store import open_store

SHEET = (
    "forward_speed_max=80",
    "reverse_speed_max=60",
    "reverse_speed_min=20",
    "deadband=10",
    "throw_left=60",
)


class Club:
    """The commands, all on one store."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def run(self, *args: str, exit_code: int = 0) -> str:
        """Run a command that must end with this code; return what it printed, errors after answers."""
        result = CliRunner(env={"RAMPBOOK_STORE": str(self.path)}).invoke(app, list(args))
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert result.exit_code == exit_code, result.output
        assert "Traceback" not in result.output
        return result.stdout + result.stderr

    def json(self, *args: str, exit_code: int = 0) -> Any:
        """Run a command with --json and return its one document."""
        result = CliRunner(env={"RAMPBOOK_STORE": str(self.path)}).invoke(app, [*args, "--json"])
        assert result.exit_code == exit_code, result.output
        return json.loads(result.stdout)

    def rows(self, table: str) -> list[dict[str, Any]]:
        """Return every row of a table."""
        with open_store(self.path) as store:
            return store.select(f'select * from "{table}"')

    def change(self, setting: str, to: str, *more: str, on: str = "2026-02-10", exit_code: int = 0) -> str:
        """Log a planned change by a coach on profile 1."""
        wish = ("--setting", setting, "--to", to, "--profile", "1", "--on", on)
        return self.run(
            "change", "A01", *wish, "--why", "a try", "--role", "coach", *more, exit_code=exit_code
        )


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The store that every test starts from, made once: one athlete with the sheet of one profile."""
    made = Club(tmp_path_factory.mktemp("club") / "club.duckdb")
    made.run("athlete", "A01", "--consent", "club", "--consent-on", "2026-01-05", "--birth-year", "2008")
    made.run("sheet", "A01", "--chair", "C1", "--profile", "1", "--on", "2026-01-10", *SHEET)
    return made.path


@pytest.fixture
def club(template: Path, tmp_path: Path) -> Club:
    """A copy of that store, for one test alone."""
    return Club(Path(shutil.copy(template, tmp_path / "club.duckdb")))
