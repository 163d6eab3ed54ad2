"""Counts with exposure and ordered classes against published tables."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from rampbook.estimators.usual_fits import (
    Tabled,
    fit_negative_binomial,
    fit_ordered_logit,
    fit_quasi_poisson,
    usual_fits,
)

Example = Callable[[str, str], Any]
Design = Callable[..., NDArray[np.float64]]


def test_ship_damage_by_quasi_poisson(example: Example, design: Design) -> None:
    """McCullagh & Nelder 1989, Generalized Linear Models, section 6.3.2, Table 6.3 (from memory)."""
    ships = example("MASS", "ships").query("service > 0")
    columns = [ships["type"] == kind for kind in "BCDE"]
    columns += [ships["year"] == year for year in (65, 70, 75)] + [ships["period"] == 75]
    incidents, service = ships["incidents"].to_numpy(float), ships["service"].to_numpy(float)
    fit = fit_quasi_poisson(incidents, design(*columns), service)
    printed = [-6.41, -0.54, -0.69, -0.08, 0.33, 0.70, 0.82, 0.45, 0.38]
    # The book prints -6.41 for the intercept where the fit gives -6.40590: half a digit more is allowed there.
    assert fit.coefficients[0] == pytest.approx(printed[0], abs=6e-3)
    assert fit.coefficients[1:] == pytest.approx(printed[1:], abs=5e-3)
    assert fit.errors == pytest.approx([0.28, 0.23, 0.43, 0.38, 0.31, 0.19, 0.22, 0.30, 0.15], abs=5e-3)
    assert (fit.numbers["deviance"], fit.numbers["degrees"]) == pytest.approx((38.70, 25), abs=5e-3)
    assert fit.numbers["dispersion"] == pytest.approx(1.69, abs=5e-3)


def test_absence_from_school_by_negative_binomial(example: Example, design: Design) -> None:
    """Venables & Ripley 2002, section 7.4, main effects; values by R glm.nb and statsmodels."""
    quine = example("MASS", "quine")
    exog = design(
        quine["Eth"] == "N", quine["Sex"] == "M", *(quine["Age"] == age for age in ("F1", "F2", "F3")),
        quine["Lrn"] == "SL",
    )  # fmt: skip
    fit = fit_negative_binomial(quine["Days"].to_numpy(float), exog)
    assert fit.numbers["theta"] == pytest.approx(1.27489, abs=5e-5)
    assert fit.numbers["theta_error"] == pytest.approx(0.16104, abs=2e-3)
    assert fit.numbers["log_likelihood"] == pytest.approx(-546.5755, abs=5e-5)
    printed = [2.89458, -0.56937, 0.08232, -0.44843, 0.08808, 0.35690, 0.29211]
    assert fit.coefficients == pytest.approx(printed, abs=5e-5)


def test_satisfaction_with_housing_by_proportional_odds(example: Example) -> None:
    """Venables & Ripley 2002, section 7.3 (from memory); R polr and statsmodels."""
    housing = example("MASS", "housing")
    housing = housing.loc[housing.index.repeat(housing["Freq"])]
    columns = [housing["Infl"] == level for level in ("Medium", "High")]
    columns += [housing["Type"] == kind for kind in ("Apartment", "Atrium", "Terrace")] + [housing["Cont"] == "High"]
    rating = housing["Sat"].map({"Low": 0, "Medium": 1, "High": 2}).to_numpy(float)
    fit = fit_ordered_logit(rating, np.column_stack(columns).astype(float))
    printed = [0.5664, 1.2888, -0.5724, -0.3662, -1.0910, 0.3603]
    assert fit.coefficients == pytest.approx(printed, abs=1e-4)
    assert fit.errors == pytest.approx([0.10465, 0.12716, 0.11924, 0.15517, 0.15149, 0.09554], abs=5e-5)
    assert (fit.numbers["cut_1"], fit.numbers["cut_2"]) == pytest.approx((-0.4961, 0.6907), abs=1e-4)
    assert -2 * fit.numbers["log_likelihood"] == pytest.approx(3479.149, abs=5e-4)


class TestApplyingToGraduateSchool:
    """UCLA OARC, ordered-logit example, 400 students (from memory); the data travel inside statsmodels."""

    @pytest.fixture
    def students(self) -> dict[str, NDArray[np.float64]]:
        import statsmodels.miscmodels

        path = Path(statsmodels.miscmodels.__path__[0]) / "tests" / "results" / "ologit_ucla.csv"
        with path.open() as file:
            rows = list(csv.DictReader(file))
        levels = {"unlikely": 0.0, "somewhat likely": 1.0, "very likely": 2.0}
        table = {name: np.array([float(row[name]) for row in rows]) for name in ("pared", "public", "gpa")}
        return table | {"apply": np.array([levels[row["apply"]] for row in rows])}

    def test_coefficients_errors_and_cut_points(self, students: dict[str, NDArray[np.float64]]) -> None:
        exog = np.column_stack([students["pared"], students["public"], students["gpa"]])
        fit = fit_ordered_logit(students["apply"], exog)
        # As R polr prints them: its search stops a little below the top, hence 1e-3.
        assert fit.coefficients == pytest.approx([1.0477, -0.0588, 0.6159], abs=1e-3)
        # As Stata ologit prints them on the companion page.
        assert fit.coefficients == pytest.approx([1.047664, -0.0586828, 0.6157458], abs=1e-6)
        assert fit.errors == pytest.approx([0.2658, 0.2979, 0.2606], abs=1e-4)
        assert (fit.numbers["cut_1"], fit.numbers["cut_2"]) == pytest.approx((2.2039, 4.2994), abs=1e-3)
        assert (fit.numbers["cut_1"], fit.numbers["cut_2"]) == pytest.approx((2.203323, 4.298767), abs=1e-5)
        assert fit.numbers["log_likelihood"] == pytest.approx(-358.5124, abs=5e-5)

    def test_row_is_an_odds_ratio(self, students: dict[str, NDArray[np.float64]]) -> None:
        exog = np.column_stack([np.ones(400), students["pared"], students["public"], students["gpa"]])
        tabled = Tabled(kind="rating", response=students["apply"], exog=exog, column=1)
        row = next(row for row in usual_fits(tabled) if row.name == "ordered_logit")
        assert row.estimate == pytest.approx(np.exp(1.0477), abs=3e-4)
        assert row.low == pytest.approx(np.exp(1.0477 - 1.96 * 0.2658), abs=1e-3)
        assert row.high == pytest.approx(np.exp(1.0477 + 1.96 * 0.2658), abs=2e-3)
