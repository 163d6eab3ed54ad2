"""The rules of the house, held by the same command that runs every other test."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BIN = Path(sys.executable).parent
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "src", "tests", "sql", "demo_data", "analyses"}

LINTERS = {
    "ruff": [str(BIN / "ruff"), "check", "--no-cache", "."],
    "mypy": [str(BIN / "mypy"), "--no-error-summary"],
    "import direction": [str(BIN / "lint-imports"), "--no-cache"],
    "sqlfluff": [str(BIN / "sqlfluff"), "lint", "sql", "--disable-progress-bar"],
}


@pytest.mark.slow
@pytest.mark.parametrize("name", list(LINTERS))
def test_the_checkers_have_nothing_to_say(name: str) -> None:
    done = subprocess.run(LINTERS[name], cwd=ROOT, capture_output=True, text=True, check=False, timeout=600)
    assert done.returncode == 0, f"{name}:\n{done.stdout[-6000:]}\n{done.stderr[-2000:]}"


def tracked() -> list[str]:
    done = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        pytest.skip("not a git checkout")
    return done.stdout.splitlines()


def test_nothing_else_lies_at_the_top() -> None:
    tops = {path.split("/")[0] for path in tracked()}
    assert {top for top in tops if not top.startswith(".")} == TOP_LEVEL


def test_every_room_of_the_package_has_a_door() -> None:
    folders = {path.parent for path in (ROOT / "src" / "rampbook").rglob("*.py")}
    assert [str(folder) for folder in sorted(folders) if not (folder / "__init__.py").is_file()] == []


def test_no_module_is_longer_than_four_hundred_lines() -> None:
    long = {
        str(path.relative_to(ROOT)): n
        for path in (ROOT / "src").rglob("*.py")
        if (n := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert long == {}


def test_sql_and_the_demo_travel_in_the_wheel() -> None:
    with (ROOT / "pyproject.toml").open("rb") as file:
        wheel = tomllib.load(file)["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["force-include"] == {"sql": "rampbook/sql", "demo_data": "rampbook/demo_data"}
    assert (ROOT / "demo_data" / "club.py").is_file()
    assert list((ROOT / "sql" / "migrations").glob("0001_*.sql"))


def blocks(text: str) -> list[str]:
    return re.findall(r"^```[^\n]*\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)


def test_the_readme_begins_with_the_main_job_and_then_the_tests() -> None:
    first, second = blocks((ROOT / "README.md").read_text(encoding="utf-8"))[:2]
    assert first.strip().endswith("rampbook demo") and "\n" not in first.strip()
    assert "pytest" in second and "[test]" in second and "\n" not in second.strip()


def test_continuous_integration_runs_what_the_readme_says() -> None:
    """The same rule as in .ci/run: what stands inside the second fence."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    program = re.search(r"awk '(.+?)' README.md", script)
    assert program is not None and "set -euo pipefail" in script
    done = subprocess.run(
        ["awk", program.group(1), "README.md"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout == blocks((ROOT / "README.md").read_text(encoding="utf-8"))[1]


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_every_file_a_document_points_to_is_there(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    links = [link for link in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in link]
    assert [link for link in links if not (ROOT / link).exists()] == []


def test_every_command_stands_in_the_readme() -> None:
    from rampbook.cli.app import COMMANDS

    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert [name for name in COMMANDS if f"| `rampbook {name}` |" not in text] == []
    named = set(re.findall(r"^\| `rampbook (\w+)` \|", text, flags=re.MULTILINE))
    assert named == set(COMMANDS)


def test_every_column_of_the_tables_stands_in_the_readme() -> None:
    from rampbook.store.load.columns import SPECS

    text = (ROOT / "README.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `(\w+)` \| (.+) \|$", text, flags=re.MULTILINE))
    missing = {
        table: sorted(left)
        for table, spec in SPECS.items()
        if (left := {c.name for c in spec.columns} - set(re.findall(r"\w+", rows.get(table, ""))))
    }
    assert missing == {}
