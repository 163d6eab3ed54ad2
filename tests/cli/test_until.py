"""For how many looks an interval holds, as people read it: on the screen, in the JSON and on the page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
import pytest

from tests.evidence.make_series import noisy_times

PHASE = [0] * 8 + [1] * 6
ONE_LOOK = (
    "The interval holds for one look, at the end. To look again after every practice, declare the end with --until."
)
OFTEN = "The interval allows for looking after every practice up to 10 with the new setting."


@pytest.fixture
def times(tmp_path: Path) -> str:
    """A table of practices with a change that made a drill faster."""
    path = tmp_path / "times.csv"
    seconds = np.round(noisy_times(PHASE, ratio=0.85), 2)
    pl.DataFrame({"practice": range(len(PHASE)), "phase": PHASE, "value": seconds}).write_csv(path)
    return str(path)


def test_the_screen_says_for_how_many_looks_the_interval_holds(club: Any, times: str) -> None:
    plain = club.run("series", times, "--kind", "time")
    assert ONE_LOOK in plain and OFTEN not in plain
    often = club.run("series", times, "--kind", "time", "--until", "10")
    assert OFTEN in often and ONE_LOOK not in often
    assert "Looking was to end at 5" in club.run("series", times, "--kind", "time", "--until", "5")


def test_the_json_says_what_was_declared_and_is_wider(club: Any, times: str) -> None:
    plain = club.json("series", times, "--kind", "time")
    often = club.json("series", times, "--kind", "time", "--until", "10")
    looks = often["method"]["looks"]
    assert plain["method"]["looks"] is None
    assert (looks["declared"], looks["taken"], looks["planned"]) == (10, 4, 8)
    log = {name: np.log([found["low"], found["high"]]) for name, found in (("plain", plain), ("often", often))}
    assert np.ptp(log["often"]) == pytest.approx(np.ptp(log["plain"]) * looks["factor"])
    assert often["p"] > plain["p"]


def test_the_page_says_it_too(club: Any, times: str, tmp_path: Path) -> None:
    page = tmp_path / "effect.html"
    club.run("series", times, "--kind", "time", "--until", "10", "--picture", str(page))
    assert OFTEN in page.read_text(encoding="utf-8")


def test_a_logged_change_can_be_read_often(club: Any, tmp_path: Path) -> None:
    club.change("forward_speed_max", "75")
    folder = tmp_path / "tables"
    folder.mkdir()
    days = [f"2026-01-{12 + i:02d}" for i in range(8)] + [f"2026-02-{10 + i:02d}" for i in range(6)]
    practices = [f"P{i:02d}" for i in range(len(PHASE))]
    pl.DataFrame({"practice": practices, "athlete": "A01", "on": days}).write_csv(folder / "practices.csv")
    rows = {"practice": practices, "athlete": "A01", "profile": 1}
    seconds = np.round(noisy_times(PHASE, ratio=0.85), 2).tolist()
    pl.DataFrame(rows | {"drill": "gate", "seconds": seconds, "finished": 1}).write_csv(folder / "attempts.csv")
    club.run("load", str(folder))
    change = str(club.rows("changes")[0]["change"])
    assert OFTEN in club.run("effect", change, "--until", "10")
    assert club.json("effect", change, "--until", "10")["method"]["looks"]["declared"] == 10


def test_an_end_that_cannot_be_is_refused(club: Any, times: str) -> None:
    said = club.run("series", times, "--kind", "time", "--until", "2", exit_code=2)
    assert "Until is 2: give how many practices with the new setting" in said
