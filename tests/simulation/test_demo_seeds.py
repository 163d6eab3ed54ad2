"""The count over many seasons of the invented club still runs, and its columns add up."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / "analyses" / "demo_club_seeds_2026_11_25.py"


@pytest.mark.slow
def test_count_over_seasons_adds_up() -> None:
    analysis = runpy.run_path(str(SCRIPT))
    judged = analysis["season"](3)
    assert not [one for one in judged if one.judgement == "WRONG"]
    lines = analysis["report"]([judged, judged])
    assert len(lines) == len(judged) + 2
    counted = [int(word) for word in lines[-1].removeprefix("all").split()[:5]]
    assert sum(counted) == 2 * len(judged)
