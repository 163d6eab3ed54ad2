"""Every command is documented: it has help of its own and stands in the README."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from rampbook.cli.app import COMMANDS, app
from rampbook.store import open_store

README = Path(__file__).resolve().parents[2] / "README.md"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_stands_in_the_readme(name: str) -> None:
    assert re.search(rf"\brampbook {name}\b", README.read_text(encoding="utf-8")), name


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_and_option_has_help(name: str) -> None:
    shown = CliRunner().invoke(app, [name, "--help"]).stdout
    about = shown.split("\n\n")[1].strip()
    assert about.endswith("."), about
    # An option without help is followed by another option, a default or nothing.
    lines = [line for line in shown.splitlines() if re.match(r"\s+--?\w", line)]
    bare = [line for line in lines if not re.search(r"\S\s{2,}\S", line.strip()) and len(line) < 30]
    assert not bare


def test_the_readme_names_no_command_that_does_not_exist() -> None:
    named = set(re.findall(r"^\s*(?:\$ )?rampbook ([a-z]+)", README.read_text(encoding="utf-8"), flags=re.M))
    assert named <= set(COMMANDS)


def test_the_readme_names_every_setting(tmp_path: Path) -> None:
    with open_store(tmp_path / "club.duckdb") as store:
        settings = [row["setting"] for row in store.rows("catalogue")]
    told = README.read_text(encoding="utf-8").split("The settings are ")[1].split("\n\n")[0]
    named = {name for name in re.findall(r"`([a-z_]+)`", told) if not name.startswith("_")} - {"catalogue"}
    assert len(settings) == 19
    assert {re.sub(r"_(max|min)$", "", name) for name in settings} == named - {"turn_speed_max"}
