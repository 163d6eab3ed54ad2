"""The column contract of a series: what fits, what is refused, and with which words."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import polars as pl
import pytest

import rampbook
from rampbook.errors import SeriesError
from rampbook.series.read import read_series


def table(**columns: Any) -> pl.DataFrame:
    base: dict[str, Any] = {
        "practice": [1, 2, 3, 4, 5, 6],
        "phase": [0, 0, 0, 1, 1, 1],
        "value": [5.0, 6.0, 5.5, 5.2, 4.8, 5.1],
    }
    return pl.DataFrame(base | columns)


@pytest.mark.parametrize(
    ("kind", "columns", "words"),
    [
        ("time", {"value": [5.0, 0.0, 5.5, 5.2, 4.8, 5.1]}, r'Row 2, value is "0": it must be seconds above 0'),
        ("count", {"value": [5, 6, -1, 2, 3, 4]}, r'Row 3, value is "-1": it must be a whole number, 0 or more'),
        ("count", {"value": [5.0, 6.0, 1.5, 2.0, 3.0, 4.0]}, r"Row 3, value"),
        (
            "count",
            {"value": [1] * 6, "exposure": [60, 60, 0, 60, 60, 60]},
            r'Row 3, exposure is "0": it must be above 0',
        ),
        ("rating", {"value": [5, 6, 7, 11, 3, 4]}, r'Row 4, value is "11": it must be a rating from 0 to 10'),
        ("success", {"value": [5] * 6, "tries": [10, 10, 4, 10, 10, 10]}, r"Row 3, value .* number of tries"),
        ("success", {"value": [5] * 6}, r'There is no column "tries"'),
        ("time", {"phase": [0, None, 0, 1, 1, 1]}, "Row 2, phase is empty: it must be 0"),
        ("time", {"phase": [0, 0, 2, 1, 1, 1]}, r'Row 3, phase is "2": it must be 0'),
        ("time", {"value": ["5", "fast", "5", "5", "5", "5"]}, r'Row 2, value is "fast": it must be a number'),
        (
            "time",
            {"practice": ["1", "2", "3.3.26", "4", "5", "6"]},
            r'Row 3, practice is "3.3.26": it must be an ISO date',
        ),
        (
            "time",
            {"practice": [1, 1, 2, 2, 3, 3], "phase": [0, 0, 0, 1, 1, 1]},
            r"Practice 2 has both phase 0 and phase 1",
        ),
        ("time", {"finished": [1, 1, 5, 1, 1, 1]}, r'Row 3, finished is "5"'),
        ("speed", {}, r'Kind "speed" is not known'),
    ],
)
def test_a_value_that_does_not_fit_is_named(kind: str, columns: dict[str, Any], words: str) -> None:
    with pytest.raises(SeriesError, match=words):
        read_series(table(**columns), kind=kind)


def test_a_missing_column_is_named_with_those_that_are_there() -> None:
    with pytest.raises(SeriesError, match='no column "phase"; the columns are practice, value'):
        read_series(table().drop("phase"), kind="time")


def test_no_rows_are_refused() -> None:
    with pytest.raises(SeriesError, match="no rows"):
        read_series(table().head(0), kind="time")


def test_a_covariate_must_be_known_at_every_practice() -> None:
    with pytest.raises(SeriesError, match="Row 2, load is"):
        read_series(table(load=[1.0, None, 3.0, 4.0, 5.0, 6.0]), kind="time", covariates=["load"])


def test_attempts_become_one_practice() -> None:
    frame = pl.DataFrame({"practice": [1, 1, 2], "phase": [0, 0, 1], "value": [4.0, 9.0, 5.0]})
    series = read_series(frame, kind="time")
    assert series.n == 2
    assert np.exp(series.main.value[0]) == pytest.approx(6.0)
    assert series.main.size.tolist() == [2.0, 1.0]


def test_counts_of_one_practice_add_up_with_their_exposure() -> None:
    frame = pl.DataFrame({"practice": [1, 1, 2], "phase": [0, 0, 1], "value": [4, 3, 5], "exposure": [20, 30, 60]})
    series = read_series(frame, kind="count")
    assert series.main.value.tolist() == [7.0, 5.0]
    assert series.main.size.tolist() == [50.0, 60.0]


def test_rows_may_come_in_any_order_and_with_decimal_commas() -> None:
    shuffled = table(value=["5,0", "6,0", "5,5", "5,2", "4,8", "5,1"]).reverse()
    assert (
        read_series(shuffled, kind="time").main.value.tolist() == read_series(table(), kind="time").main.value.tolist()
    )


def test_missing_values_are_counted_and_left_out() -> None:
    series = read_series(table(value=[5.0, None, 5.5, 5.2, 4.8, 5.1]), kind="time")
    assert (series.n, series.n_missing) == (5, 1)


def test_a_holiday_is_a_long_gap() -> None:
    days = ["2026-01-01", "2026-01-08", "2026-01-15", "2026-02-05", "2026-02-12", "2026-02-19"]
    assert read_series(table(practice=days), kind="time").gaps.tolist() == [1.0, 1.0, 1.0, 3.0, 1.0, 1.0]


def long_table() -> pl.DataFrame:
    rng = np.random.default_rng(7)
    rows = []
    for name in ("a", "b", "c"):
        for practice in range(14):
            rows.append(
                {"club": name, "practice": practice, "phase": int(practice >= 7), "value": float(rng.uniform(9, 11))}
            )
    return pl.DataFrame(rows)


def test_many_series_equal_each_alone() -> None:
    many = rampbook.estimate_many(long_table(), by=["club"], kind="time")
    for row in many.iter_rows(named=True):
        alone = rampbook.estimate(long_table().filter(pl.col("club") == row["club"]), kind="time", sensitivity=False)
        for part in ("estimate", "low", "high", "p"):
            assert row[part] == pytest.approx(getattr(alone, part), rel=1e-8)


def test_pandas_arrow_and_interchange_frames_give_the_same() -> None:
    frame = long_table().filter(pl.col("club") == "a").drop("club")

    class OnlyInterchange:
        def __dataframe__(self, *args: Any, **kwargs: Any) -> Any:
            return pd.DataFrame(frame.to_dict(as_series=False)).__dataframe__(*args, **kwargs)  # type: ignore[operator]

    plain = rampbook.estimate(frame, kind="time", sensitivity=False).low
    for other in (pd.DataFrame(frame.to_dict(as_series=False)), frame.to_arrow(), frame.lazy()):
        assert rampbook.estimate(other, kind="time", sensitivity=False).low == plain


def test_a_series_without_variation_has_no_interval_and_says_so() -> None:
    found = rampbook.estimate(table(value=[5.0] * 6), kind="rating", sensitivity=False)
    assert (found.estimate, found.low, found.verdict) == (None, None, "cannot tell yet")
    assert "do not vary" in found.warnings[0].message


def test_no_collisions_after_the_change_gives_a_careful_answer_not_an_error() -> None:
    counts = [6, 4, 7, 5, 6, 4, 0, 0, 0, 0, 0, 0]
    frame = pl.DataFrame({"practice": range(12), "phase": [0] * 6 + [1] * 6, "value": counts})
    found = rampbook.estimate(frame, kind="count", sensitivity=False)
    assert found.estimate is not None and 0 < found.estimate < 1
    assert "half_counts" in [warning.code for warning in found.warnings]


def test_a_mistyped_time_is_pointed_out() -> None:
    found = rampbook.estimate(table(value=[5.0, 6.0, 550.0, 5.2, 4.8, 5.1]), kind="time", sensitivity=False)
    message = next(warning.message for warning in found.warnings if warning.code == "far_off")
    assert "550 s at practice 3" in message


def test_the_outcome_cannot_be_its_own_covariate() -> None:
    with pytest.raises(SeriesError, match='"value" cannot be a covariate'):
        read_series(table(), kind="time", covariates=["value"])


def test_a_missing_practice_keeps_its_place_its_side_and_what_is_known_of_it() -> None:
    frame = table(value=[5.0, None, 5.5, 5.2, 4.8, None], practice=[1, 2, 4, 5, 6, 9], load=[1.0, 2.5, 3.0, 1, 2, None])
    missing = read_series(frame, kind="time", covariates=["load"]).missing
    assert missing is not None
    assert (missing.n, missing.elapsed.tolist(), missing.phase.tolist()) == (2, [1.0, 8.0], [0, 1])
    np.testing.assert_array_equal(missing.covariates[:, 0], [2.5, np.nan])
    assert read_series(table(), kind="time").missing is None


def test_an_unaffected_outcome_is_a_series_of_its_own() -> None:
    beside = read_series(table(unaffected=[9.0, None, 8.0, 8.5, 9.1, 8.8]), kind="time").unaffected
    assert beside is not None
    assert beside.labels == ("1", "3", "4", "5", "6")
    assert np.exp(beside.main.value).tolist() == pytest.approx([9.0, 8.0, 8.5, 9.1, 8.8])
    assert read_series(table(unaffected=[None] * 6), kind="time").unaffected is None


def test_an_unaffected_outcome_is_checked_as_the_outcome_itself() -> None:
    with pytest.raises(SeriesError, match='Row 2, unaffected is "-1": it must be a whole number, 0 or more'):
        read_series(table(value=[5, 6, 5, 4, 3, 2], unaffected=[5, -1, 5, 5, 5, 5]), kind="count")
    with pytest.raises(SeriesError, match='no column "unaffected_tries"'):
        read_series(table(value=[5] * 6, tries=[9] * 6, unaffected=[5] * 6), kind="success")
