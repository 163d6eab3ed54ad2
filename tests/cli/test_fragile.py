"""How fragile a result is, as people read it: on the screen, in the JSON and on the page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
import pytest

from rampbook.evidence.fragile_words import fragile_words
from rampbook.store import open_store
from rampbook.workflow import effect_of_change
from tests.evidence.make_series import noisy_times

ONCE = [0] * 8 + [1] * 8
DAYS = [f"2026-01-{12 + i:02d}" for i in range(8)] + [f"2026-02-{10 + i:02d}" for i in range(8)]


@pytest.fixture
def measured(club: Any, tmp_path: Path) -> Any:
    """One change in the store: a drill that got faster, pain that fell on the same day, and comfort that stayed."""
    club.change("forward_speed_max", "75")
    folder = tmp_path / "tables"
    folder.mkdir()
    practices = [f"P{i:02d}" for i in range(17)]
    pl.DataFrame({"practice": practices, "athlete": "A01", "on": [*DAYS, "2026-02-20"]}).write_csv(
        folder / "practices.csv"
    )
    rows = {"practice": practices[:16], "athlete": "A01", "profile": 1}
    times = np.round(noisy_times(ONCE, ratio=0.8), 2).tolist()
    pl.DataFrame(rows | {"drill": "gate", "seconds": times, "finished": 1}).write_csv(folder / "attempts.csv")
    comfort = [5, 6, 5, 7, 6, 5, 6, 6, 6, 5, 6, 6, 5, 7, 6, 5]
    pain = [6, 5, 6, 6, 7, 6, 5, 6, 3, 2, 3, 3, 2, 3, 4, 3]
    ratings = [
        pl.DataFrame(rows | {"outcome": name, "rating": rated, "by": "self"})
        for name, rated in (("comfort", comfort), ("pain", pain))
    ]
    pl.concat(ratings).write_csv(folder / "ratings.csv")
    club.run("load", str(folder))
    return club


def change_of(club: Any) -> str:
    return str(club.rows("changes")[0]["change"])


def test_an_unaffected_outcome_that_moved_is_told_and_holds_better_back(measured: Any) -> None:
    change = change_of(measured)
    asked = ("effect", change, "--outcome", "drill:gate", "--worthwhile", "0.95")
    assert measured.json(*asked)["verdict"] == "better"
    answer = measured.json(*asked, "--unaffected", "pain")
    told = answer["robustness"]["negative_control"]
    assert (told["outcome"], told["kind"]) == ("pain", "rating")
    assert told["low"] < told["estimate"] < told["high"] < 0
    assert answer["verdict"] == "cannot tell yet"
    assert "negative_control_moved" in [warning["code"] for warning in answer["warnings"]]
    said = measured.run(*asked, "--unaffected", "pain")
    assert "Something else changed at the same time: pain, which the change cannot affect, moved too" in said
    assert "How fragile is it:\n  - With any one practice left out the effect" in said


def test_an_unaffected_outcome_that_stayed_changes_no_verdict(measured: Any) -> None:
    asked = ("effect", change_of(measured), "--outcome", "drill:gate", "--worthwhile", "0.95")
    answer = measured.json(*asked, "--unaffected", "comfort")
    assert answer["verdict"] == "better"
    assert answer["robustness"]["negative_control"]["outcome"] == "comfort"
    assert "Comfort, which the change cannot affect, did not clearly move" in measured.run(
        *asked, "--unaffected", "comfort"
    )


def test_a_practice_that_was_held_without_the_drill_stands_among_the_missing(measured: Any) -> None:
    held = measured.json("effect", change_of(measured), "--outcome", "drill:gate")["robustness"]
    assert (held["missing_practices"], held["negative_control"]) == (1, None)
    assert held["missing_bounds"][0] < held["missing_bounds"][1] < 1


def test_the_outcome_itself_cannot_be_the_unaffected_one(measured: Any) -> None:
    asked = ("effect", change_of(measured), "--outcome", "pain", "--unaffected")
    assert '"pain" is the outcome asked about. Name another one' in measured.run(*asked, "pain", exit_code=2)
    assert '"sleep" was not measured around change' in measured.run(*asked, "sleep", exit_code=2)


def test_the_page_has_the_same_sentences(measured: Any, tmp_path: Path) -> None:
    from rampbook.charts.page import to_html

    with open_store(measured.path) as store:
        found = effect_of_change(store, change_of(measured), "drill:gate", unaffected="pain", sensitivity=False)
    page = to_html(found)
    assert "<summary>How fragile is it</summary>" in page
    assert [f"<li>{line}</li>" in page for line in fragile_words(found)] == [True] * 5


def test_a_table_with_an_unaffected_column_is_read_by_series(club: Any, tmp_path: Path) -> None:
    values = noisy_times(ONCE, ratio=0.8)
    table = pl.DataFrame({"practice": range(16), "phase": ONCE, "value": values, "unaffected": values})
    table.write_csv(tmp_path / "gate.csv")
    answer = club.json("series", str(tmp_path / "gate.csv"), "--kind", "time", "--worthwhile", "0.95")
    assert answer["robustness"]["negative_control"]["estimate"] == answer["estimate"]
    assert answer["verdict"] == "cannot tell yet"
