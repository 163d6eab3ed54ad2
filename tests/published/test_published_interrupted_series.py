"""Level changes in published series, through our own fits and rows."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from rampbook.estimators.usual_fits import (
    FitRow,
    Tabled,
    fit_ar1_ml,
    fit_newey_west,
    fit_ols,
    fit_poisson,
    fit_quasi_poisson,
    usual_fits,
)

Example = Callable[[str, str], Any]
Design = Callable[..., NDArray[np.float64]]
Table = dict[str, NDArray[np.float64]]


def read_columns(path: Path, *, delimiter: str = ",") -> Table:
    with path.open() as file:
        rows = list(csv.DictReader(file, delimiter=delimiter))
    return {name: np.array([float(row[name]) for row in rows]) for name in rows[0]}


@pytest.fixture(scope="module")
def sicily(reference: Path) -> Table:
    table = read_columns(reference / "sicily.csv")
    order = np.argsort(table["time"])
    return {name: values[order] for name, values in table.items()}


def seasons(time: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    angle = 2 * np.pi * time / 12
    return [np.sin(angle), np.cos(angle), np.sin(2 * angle), np.cos(2 * angle)]


def ban_rows(sicily: Table, *covariates: NDArray[np.float64]) -> dict[str, FitRow]:
    time = sicily["time"]
    exog = np.column_stack([np.ones(len(time)), time, sicily["smokban"], *covariates])
    tabled = Tabled(
        kind="count", response=np.log(sicily["aces"] / sicily["stdpop"]), exog=exog, column=2,
        count=sicily["aces"], exposure=sicily["stdpop"],
    )  # fmt: skip
    return {row.name: row for row in usual_fits(tabled)}


def interval(row: FitRow) -> tuple[float | None, float | None]:
    return row.low, row.high


class TestSmokingBanInSicily:
    """Lopez Bernal, Cummins & Gasparrini 2017, Int J Epidemiol 46(1):348-355, worked example.

    Values by R glm and statsmodels on the authors' data and formula; the printed page was not read.
    """

    def test_step_4_poisson(self, sicily: Table, design: Design) -> None:
        row = ban_rows(sicily)["poisson"]
        assert row.estimate == pytest.approx(0.89438, abs=2e-5)
        assert interval(row) == pytest.approx((0.86469, 0.92509), abs=2e-5)
        assert row.p == pytest.approx(2 * 0.5 * math.erfc(6.481 / math.sqrt(2)), rel=5e-3)
        fit = fit_poisson(sicily["aces"], design(sicily["smokban"], sicily["time"]), sicily["stdpop"])
        assert fit.errors[1] == pytest.approx(0.017225, abs=5e-7)
        assert fit.coefficients[1] / fit.errors[1] == pytest.approx(-6.481, abs=5e-4)
        assert math.exp(fit.coefficients[2]) == pytest.approx(1.00496, abs=1e-5)
        assert (fit.numbers["deviance"], fit.numbers["degrees"]) == pytest.approx((197.310, 56), abs=5e-4)

    def test_step_5a_over_dispersion(self, sicily: Table, design: Design) -> None:
        row = ban_rows(sicily)["quasi_poisson"]
        assert row.estimate == pytest.approx(0.89438, abs=2e-5)
        assert interval(row) == pytest.approx((0.83919, 0.95319), abs=2e-5)
        fit = fit_quasi_poisson(sicily["aces"], design(sicily["smokban"], sicily["time"]), sicily["stdpop"])
        assert fit.numbers["dispersion"] == pytest.approx(3.559187, abs=1e-5)
        assert "3.559" in row.algorithm

    def test_step_5c_seasons(self, sicily: Table) -> None:
        row = ban_rows(sicily, *seasons(sicily["time"]))["quasi_poisson"]
        assert row.estimate == pytest.approx(0.88507, abs=2e-5)
        assert interval(row) == pytest.approx((0.83940, 0.93323), abs=2e-5)
        assert "2.262" in row.algorithm

    def test_slope_change_centred_at_the_change_gives_the_level_there(self, sicily: Table) -> None:
        """The additional material, as put right in IJE 2020, doi 10.1093/ije/dyaa118."""
        after = sicily["smokban"] * (sicily["time"] - 36)
        row = ban_rows(sicily, after, *seasons(sicily["time"]))["quasi_poisson"]
        assert row.estimate == pytest.approx(0.87646, abs=2e-5)
        assert interval(row) == pytest.approx((0.82675, 0.92916), abs=2e-5)

    def test_slope_change_left_uncentred_gives_a_level_far_from_the_change(self, sicily: Table) -> None:
        after = sicily["smokban"] * sicily["time"]
        row = ban_rows(sicily, after, *seasons(sicily["time"]))["quasi_poisson"]
        assert row.estimate == pytest.approx(0.83092, abs=2e-5)
        assert interval(row) == pytest.approx((0.70540, 0.97879), abs=2e-5)

    def test_slope_change_itself(self, sicily: Table) -> None:
        time = sicily["time"]
        exog = np.column_stack(
            [np.ones(len(time)), sicily["smokban"], time, sicily["smokban"] * (time - 36), *seasons(time)]
        )
        fit = fit_quasi_poisson(sicily["aces"], exog, sicily["stdpop"])
        slope, half = fit.coefficients[3], 1.959964 * fit.errors[3]
        assert math.exp(slope) == pytest.approx(1.00148, abs=1e-5)
        assert (math.exp(slope - half), math.exp(slope + half)) == pytest.approx((0.99785, 1.00513), abs=1e-5)
        assert (slope / fit.errors[3]) ** 2 == pytest.approx(0.6388, abs=5e-4)


class TestCigaretteSalesInCalifornia:
    """Linden 2015, Stata Journal 15(2):480-500, single-group example (data: Abadie, Diamond & Hainmueller 2010).

    Coefficients as printed in public course text; standard errors by R sandwich and statsmodels.
    """

    @pytest.fixture
    def sales(self, reference: Path) -> NDArray[np.float64]:
        lines = (reference / "california.csv").read_text().splitlines()
        return np.array([float(line.split(";")[2]) for line in lines if line.startswith("California;")])

    @pytest.fixture
    def exog(self, sales: NDArray[np.float64]) -> NDArray[np.float64]:
        time = np.arange(len(sales), dtype=np.float64)
        after = (time >= 19).astype(np.float64)
        return np.column_stack([np.ones(len(sales)), time, after, after * (time - 19)])

    def test_segmented_fit_with_newey_west_errors(self, sales: NDArray[np.float64], exog: NDArray[np.float64]) -> None:
        fit = fit_newey_west(sales, exog, lags=1)
        assert fit.coefficients == pytest.approx([132.2258, -1.779474, -20.0581, -1.494652], abs=5e-5)
        assert fit.errors == pytest.approx([4.25305, 0.38342, 4.72440, 0.43682], abs=5e-6)
        assert fit.coefficients[1] + fit.coefficients[3] == pytest.approx(-3.2741, abs=5e-5)
        assert fit.degrees == 27

    def test_row_of_the_level_change(self, sales: NDArray[np.float64], exog: NDArray[np.float64]) -> None:
        tabled = Tabled(kind="rating", response=sales, exog=exog, column=2)
        row = next(row for row in usual_fits(tabled) if row.name == "newey_west")
        assert row.estimate == pytest.approx(-20.0581, abs=5e-5)
        assert interval(row) == pytest.approx((-29.7518, -10.3644), abs=5e-5)

    def test_strong_autocorrelation_in_a_short_series_is_warned_of(
        self, sales: NDArray[np.float64], exog: NDArray[np.float64]
    ) -> None:
        """Trap: here two-step methods wander between several roots; the reader must be told."""
        rows = {
            row.name: row
            for row in usual_fits(Tabled(kind="rating", response=sales, exog=exog, column=2))
        }  # fmt: skip
        assert "do not rely on it" in rows["glsar"].algorithm
        # R gls by maximum likelihood: level -6.24 (SE 2.75), phi .923; SE by the numerical Hessian 2.61.
        assert rows["ar1_ml"].estimate == pytest.approx(-6.24, abs=5e-3)
        fit = fit_ar1_ml(sales, exog)
        assert fit.numbers["rho"] == pytest.approx(0.923, abs=5e-4)
        assert fit.errors[2] == pytest.approx(2.61, abs=2e-2)
        assert "do not rely on it" in rows["ar1_ml"].algorithm


def test_seat_belts_dummy_regressions(example: Example, design: Design) -> None:
    """Commandeur & Koopman 2007, An Introduction to State Space Time Series Analysis, ch. 5-7 (from memory)."""
    belts = example("datasets", "Seatbelts")
    drivers, petrol = np.log(belts["drivers"].to_numpy(float)), np.log(belts["PetrolPrice"].to_numpy(float))
    law = belts["law"].to_numpy(float)
    assert fit_ols(drivers, design(petrol)).coefficients == pytest.approx([5.8787, -0.67166], abs=1e-4)
    assert fit_ols(drivers, design(petrol)).coefficients[1] == pytest.approx(-0.67166, abs=1e-5)
    assert fit_ols(drivers, design(law)).coefficients == pytest.approx([7.4374, -0.26111], abs=1e-4)
    assert fit_ols(drivers, design(law)).coefficients[1] == pytest.approx(-0.26111, abs=1e-5)
    months = (np.arange(len(law)) % 12)[:, None] == np.arange(1, 12)
    exog = np.column_stack([np.ones(len(law)), law, petrol, months.astype(float)])
    tabled = Tabled(kind="time", response=drivers, exog=exog, column=1)
    row = next(row for row in usual_fits(tabled) if row.name == "ols")
    assert row.estimate is not None and math.log(row.estimate) == pytest.approx(-0.19714, abs=1e-5)
    assert fit_ols(drivers, exog).coefficients[2] == pytest.approx(-0.45213, abs=1e-5)


def test_the_nile_drops_after_1898(design: Design) -> None:
    """Cobb 1978, Biometrika 65:243-251; Zeileis et al. 2003, CSDA 44:109-123 (from memory)."""
    from statsmodels.datasets import nile

    volume = nile.load_pandas().data["volume"].to_numpy(float)
    spread = {start: fit_ols(volume, design(np.arange(100) >= start)).numbers["rss"] for start in range(5, 96)}
    assert min(spread, key=lambda start: spread[start]) == 28
    fit = fit_ols(volume, design(np.arange(100) >= 28))
    assert fit.coefficients == pytest.approx([1097.75, -247.778], abs=5e-4)
    assert fit.coefficients.sum() == pytest.approx(849.9722, abs=5e-5)
    assert fit.numbers["rss"] == pytest.approx(1597457.19, abs=5e-3)


class TestBeaverTemperature:
    """Venables & Ripley 2002, MASS 4th ed., section 14.6 (from memory); R arima, exact maximum likelihood.

    Within 6e-4: R stops its search a little below the top of the likelihood.
    """

    def test_exact_maximum_likelihood(self, example: Example, design: Design) -> None:
        beaver = example("MASS", "beav2")
        fit = fit_ar1_ml(beaver["temp"].to_numpy(float), design(beaver["activ"]))
        assert fit.coefficients == pytest.approx([37.1920, 0.6139], abs=6e-4)
        assert fit.errors == pytest.approx([0.1187, 0.1381], abs=6e-4)
        assert (fit.numbers["rho"], fit.numbers["rho_error"]) == pytest.approx((0.8733, 0.0684), abs=6e-4)
        assert fit.numbers["sigma2"] == pytest.approx(0.01518, abs=5e-6)
        assert fit.numbers["log_likelihood"] == pytest.approx(66.78, abs=5e-3)

    def test_row_carries_estimate_interval_and_p(self, example: Example, design: Design) -> None:
        beaver = example("MASS", "beav2")
        tabled = Tabled(kind="rating", response=beaver["temp"].to_numpy(float), exog=design(beaver["activ"]), column=1)
        row = next(row for row in usual_fits(tabled) if row.name == "ar1_ml")
        assert row.estimate == pytest.approx(0.6139, abs=6e-4)
        assert interval(row) == pytest.approx((0.6139 - 1.96 * 0.1381, 0.6139 + 1.96 * 0.1381), abs=2e-3)
        assert row.p == pytest.approx(math.erfc(0.6139 / 0.1381 / math.sqrt(2)), rel=0.05)

    def test_least_squares_overstates_the_step(self, example: Example, design: Design) -> None:
        beaver = example("MASS", "beav2")
        fit = fit_ols(beaver["temp"].to_numpy(float), design(beaver["activ"]))
        assert (fit.coefficients[1], fit.errors[1]) == pytest.approx((0.8062, 0.0439), abs=5e-5)
        assert fit.numbers["durbin_watson"] == pytest.approx(0.377, abs=5e-4)
