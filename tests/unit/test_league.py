"""Many series at once: the numbers of each alone, whatever their lengths, gaps, kinds and holes."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl
import pytest

import rampbook
from rampbook.errors import EntryError, SeriesError
from rampbook.series.league import ANSWERS

NUMBERS = ("estimate", "low", "high", "p")


def one_series(rng: np.random.Generator, kind: str, *, by_date: bool) -> list[dict[str, Any]]:
    """A series as a club might keep it: uneven days, repeated attempts, empty cells, a partial untouched series."""
    n = int(rng.integers(9, 22))
    phase = (np.arange(n) >= n // 2) if rng.random() < 0.6 else np.arange(n) // 3 % 2
    days = np.cumsum(rng.choice([2, 3, 7, 21], n))
    rows = []
    for t in range(n):
        for _ in range(int(rng.integers(1, 4)) if kind in ("time", "rating") else 1):
            row: dict[str, Any] = {
                "practice": date(2026, 1, 1) + timedelta(int(days[t])) if by_date else int(days[t]),
                "phase": int(phase[t]),
                "exposure": float(rng.uniform(20, 60)),
                "tries": int(rng.integers(3, 11)),
                "battery": float(rng.uniform(40, 100)),
            }
            rows.append(row)
    for row in rows:
        row["value"] = drawn(rng, kind, row["tries"]) if rng.random() > 0.05 else None
        row["control"] = drawn(rng, kind, row["tries"]) if rng.random() > 0.3 else None
        row["control_exposure"], row["control_tries"] = row["exposure"], row["tries"]
    return rows


def drawn(rng: np.random.Generator, kind: str, tries: int) -> float:
    if kind == "time":
        return float(np.exp(3 + 0.1 * rng.normal()))
    if kind == "rating":
        return float(rng.integers(4, 10))
    return float(rng.poisson(2.0)) if kind == "count" else float(rng.binomial(tries, 0.6))


def league(kind: str, n_series: int = 25, seed: int = 3, *, by_date: bool = True) -> pl.DataFrame:
    rng = np.random.default_rng(seed)
    rows = []
    for i in range(n_series):
        rows += [{"club": f"c{i % 4}", "athlete": i} | row for row in one_series(rng, kind, by_date=by_date)]
    return pl.DataFrame(rows, infer_schema_length=None).sample(fraction=1, shuffle=True, seed=1)


def same_numbers(row: dict[str, Any], alone: rampbook.Effect) -> None:
    for name in NUMBERS:
        expected = getattr(alone, name)
        assert row[name] == (None if expected is None else pytest.approx(expected, rel=1e-8, abs=1e-12))


@pytest.mark.parametrize("by_date", [True, False])
@pytest.mark.parametrize("control", [True, False])
@pytest.mark.parametrize("kind", ["time", "count", "rating", "success"])
def test_every_row_is_the_single_estimate(kind: str, control: bool, by_date: bool) -> None:
    table = league(kind, by_date=by_date)
    if not control:
        table = table.drop("control", "control_exposure", "control_tries")
    many = rampbook.estimate_many(table, by=["club", "athlete"], kind=kind)
    assert many.height == 25 and many["estimate"].null_count() < 5
    for row in many.iter_rows(named=True):
        part = table.filter((pl.col("club") == row["club"]) & (pl.col("athlete") == row["athlete"]))
        alone = rampbook.estimate(part, kind=kind, sensitivity=False)
        same_numbers(row, alone)
        assert (row["practices"], row["before"], row["after"]) == tuple(
            alone.n[name] for name in ("practices", "before", "after")
        )
        assert (row["reason"] is None) == (alone.estimate is not None)


def test_covariates_confidence_and_trend_are_those_of_the_single_estimate() -> None:
    table = league("time", 12)
    options: dict[str, Any] = {"covariates": ["battery"], "confidence": 0.8, "trend": False}
    many = rampbook.estimate_many(table, by=["athlete"], kind="time", **options)
    for row in many.iter_rows(named=True):
        part = table.filter(pl.col("athlete") == row["athlete"])
        alone = rampbook.estimate(part, kind="time", sensitivity=False, **options)
        same_numbers(row, alone)


def test_verdicts_are_those_of_the_single_estimate() -> None:
    table = league("rating", 8)
    many = rampbook.estimate_many(table, by=["athlete"], kind="rating", verdicts=True, worthwhile=0.5)
    for row in many.iter_rows(named=True):
        part = table.filter(pl.col("athlete") == row["athlete"])
        alone = rampbook.estimate(part, kind="rating", sensitivity=False, worthwhile=0.5)
        assert (row["verdict"], row["rung"]) == (alone.verdict, alone.rung)


def test_the_series_come_in_the_order_in_which_they_first_appear() -> None:
    table = league("time", 10)
    many = rampbook.estimate_many(table, by=["athlete"], kind="time")
    assert many["athlete"].to_list() == table["athlete"].unique(maintain_order=True).to_list()


def test_adjusted_p_are_benjamini_hochberg_over_the_table() -> None:
    from statsmodels.stats.multitest import multipletests

    many = rampbook.estimate_many(league("time", 20), by=["athlete"], kind="time").drop_nulls("p")
    expected = multipletests(many["p"].to_numpy(), method="fdr_bh")[1]
    np.testing.assert_allclose(many["p_adjusted"].to_numpy(), expected, rtol=1e-12)


def test_what_cannot_be_estimated_stays_in_the_table_with_its_reason() -> None:
    flat = [{"athlete": "flat", "practice": t, "phase": int(t > 5), "value": 7.0} for t in range(12)]
    few = [{"athlete": "few", "practice": t, "phase": int(t > 9), "value": 7.0 + t % 3} for t in range(12)]
    found = rampbook.estimate_many(pl.DataFrame(flat + few), by=["athlete"], kind="rating")
    assert found["estimate"].to_list() == [None, None] and found["p_adjusted"].to_list() == [None, None]
    assert "nothing varies" in found["reason"][0] and "fewer than 3 practices on a side" in found["reason"][1]


def test_a_practice_with_both_settings_is_named_by_its_row() -> None:
    rows = [{"athlete": "a", "practice": t, "phase": int(t > 5), "value": 7.0 + t % 3} for t in range(12)]
    rows.append({"athlete": "a", "practice": 0, "phase": 1, "value": 7.0})
    with pytest.raises(SeriesError, match=r"Row 1: its practice has both phase 0 and phase 1|Row 13"):
        rampbook.estimate_many(pl.DataFrame(rows), by=["athlete"], kind="rating")


@pytest.mark.parametrize("by", [[], ["team"]])
def test_naming_no_series_is_refused(by: list[str]) -> None:
    with pytest.raises(EntryError, match="by names"):
        rampbook.estimate_many(league("time", 2), by=by, kind="time")


@pytest.mark.parametrize(
    ("by", "said"),
    [
        (["athlete", "athlete"], 'by names "athlete" twice'),
        (["p"], 'by names "p", which is a column of the series itself or of the answer'),
        (["phase"], 'by names "phase", which is a column of the series itself'),
    ],
)
def test_names_that_would_hide_a_number_are_refused(by: list[str], said: str) -> None:
    table = league("time", 3).with_columns(p=pl.col("athlete"))
    with pytest.raises(EntryError, match=said):
        rampbook.estimate_many(table, by=by, kind="time")


def test_one_name_may_stand_alone() -> None:
    table = league("time", 3)
    alone = rampbook.estimate_many(table, by="athlete", kind="time", verdicts=True)
    assert alone.equals(rampbook.estimate_many(table, by=["athlete"], kind="time", verdicts=True))


def test_every_column_of_the_answer_is_kept_from_naming_a_series() -> None:
    answer = rampbook.estimate_many(league("time", 2), by=["athlete"], kind="time", verdicts=True)
    assert set(answer.columns) - {"athlete"} == set(ANSWERS)


def test_keys_may_be_empty_cells() -> None:
    named = pl.when(pl.col("athlete") == 2).then(None).otherwise("athlete").alias("athlete")
    found = rampbook.estimate_many(league("time", 6).with_columns(named), by=["athlete"], kind="time")
    assert found.height == 6 and found["estimate"].null_count() <= 1
