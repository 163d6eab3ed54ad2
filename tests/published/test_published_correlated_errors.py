"""Standard errors and fits under correlated errors, and the numerics of least squares, against published output."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from rampbook.estimators.usual_fits import fit_cochrane_orcutt, fit_newey_west, fit_ols

Example = Callable[[str, str], Any]
Design = Callable[..., NDArray[np.float64]]


class TestInvestment:
    """Zeileis 2004, J Stat Softw 11(10), HAC example (printed output); data from Greene 1993, Table 15.1."""

    @pytest.fixture
    def fitted(self, example: Example, design: Design) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        data = example("sandwich", "Investment").iloc[1:]
        return data["RealInv"].to_numpy(float), design(data["RealGNP"], data["RealInt"])

    def test_least_squares(self, fitted: tuple[NDArray[np.float64], NDArray[np.float64]]) -> None:
        fit = fit_ols(*fitted)
        assert fit.coefficients == pytest.approx([-12.533601, 0.169136, -1.001438], abs=5e-7)
        assert fit.errors == pytest.approx([24.91527, 0.02057, 2.36875], abs=5e-6)
        assert fit.numbers["durbin_watson"] == pytest.approx(1.3215, abs=5e-5)

    def test_newey_west_as_printed(self, fitted: tuple[NDArray[np.float64], NDArray[np.float64]]) -> None:
        fit = fit_newey_west(*fitted, lags=4, correction=False)
        assert fit.errors == pytest.approx([18.958298, 0.016751, 3.342375], abs=1e-5)

    def test_newey_west_with_the_small_sample_factor(
        self, fitted: tuple[NDArray[np.float64], NDArray[np.float64]]
    ) -> None:
        fit = fit_newey_west(*fitted, lags=4)
        assert fit.errors == pytest.approx([20.659326, 0.018254, 3.642269], abs=1e-5)


def test_ice_cream_by_iterated_cochrane_orcutt(example: Example, design: Design) -> None:
    """Hildreth & Lu 1960; Verbeek, A Guide to Modern Econometrics, ch. 4, ice-cream tables (from memory)."""
    data = example("Ecdat", "Icecream")
    sold, exog = data["cons"].to_numpy(float), design(data["price"], data["income"], data["temp"])
    plain = fit_ols(sold, exog)
    assert plain.coefficients[:2] == pytest.approx([0.1973, -1.0444], abs=5e-5)
    assert plain.coefficients[2:] == pytest.approx([0.00331, 0.00346], abs=5e-6)
    assert plain.numbers["sigma"] == pytest.approx(0.0368, abs=5e-5)
    assert plain.numbers["durbin_watson"] == pytest.approx(1.0212, abs=5e-5)
    fit = fit_cochrane_orcutt(sold, exog)
    assert fit.numbers["rho"] == pytest.approx(0.4009, abs=5e-5)
    assert fit.coefficients[:2] == pytest.approx([0.1571, -0.8924], abs=5e-5)
    assert fit.coefficients[2:] == pytest.approx([0.00320, 0.00356], abs=5e-6)
    assert fit.numbers["durbin_watson"] == pytest.approx(1.5488, abs=5e-5)


BLAISDELL_X = (
    127.3, 130.0, 132.7, 129.4, 135.0, 137.1, 141.2, 142.8, 145.5, 145.3,
    148.3, 146.4, 150.2, 153.1, 157.3, 160.7, 164.2, 165.6, 168.7, 171.7,
)  # fmt: skip
BLAISDELL_Y = (
    20.96, 21.40, 21.96, 21.52, 22.39, 22.76, 23.48, 23.66, 24.10, 24.01,
    24.54, 24.30, 25.00, 25.64, 26.36, 26.98, 27.52, 27.78, 28.24, 28.78,
)  # fmt: skip


def test_sales_by_one_step_cochrane_orcutt(design: Design) -> None:
    """Kutner, Nachtsheim, Neter & Li 2005, Applied Linear Statistical Models, ch. 12 (data and results from memory)."""
    y, exog = np.array(BLAISDELL_Y), design(BLAISDELL_X)
    plain = fit_ols(y, exog)
    assert plain.coefficients == pytest.approx([-1.45475, 0.17628], abs=5e-6)
    assert plain.numbers["durbin_watson"] == pytest.approx(0.735, abs=5e-4)
    fit = fit_cochrane_orcutt(y, exog, most_rounds=1)
    # The book sums residuals that it had rounded, hence the sixth digit.
    assert fit.numbers["rho"] == pytest.approx(0.631166, abs=5e-6)
    assert fit.coefficients[1] == pytest.approx(0.17376, abs=5e-6)
    assert fit.errors[1] == pytest.approx(0.002957, abs=5e-7)
    # The book divides rounded figures and cuts -1.0685 to -1.068, hence half a digit more.
    assert fit.coefficients[0] == pytest.approx(-1.068, abs=6e-4)


def test_longley_least_squares_to_certified_digits() -> None:
    """NIST Statistical Reference Datasets, Longley (higher difficulty); certified values."""
    from statsmodels.datasets import longley

    data = longley.load_pandas()
    exog = np.column_stack([np.ones(16), data.exog.to_numpy(float)])
    fit = fit_ols(data.endog.to_numpy(float), exog)
    certified = [
        -3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683,
        -1.03322686717359, -0.0511041056535807, 1829.15146461355,
    ]  # fmt: skip
    assert fit.coefficients == pytest.approx(certified, rel=1e-7)
    assert fit.numbers["sigma"] == pytest.approx(304.854073561965, rel=1e-7)
