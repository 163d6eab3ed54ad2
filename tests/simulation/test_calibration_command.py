"""The command of the calibration study, on two cells and few series."""

from __future__ import annotations

from pathlib import Path

import pytest

from analyses.calibration_study import main

FEW = "rating once-10 * rho0.6 steady regular"


@pytest.mark.slow
def test_the_command_writes_table_summary_and_charts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--seed", "3", "--reps", "120", "--cells", FEW, "--workers", "1"]
    assert main([*words, "--out", str(tmp_path)]) == 0
    assert {path.name for path in tmp_path.iterdir()} == {"table.csv", "summary.md", "every_cell.svg", "power.svg"}
    assert "2 cells, 120 series a cell" in (tmp_path / "summary.md").read_text(encoding="utf-8")
    told = capsys.readouterr().out
    assert main(words) == 0
    assert capsys.readouterr().out == told


def test_a_pattern_that_fits_nothing_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--cells", "nothing"]) == 2
    assert "No cell is called like 'nothing'" in capsys.readouterr().out
