"""Traps of the statistics library that our fits step around; each would give another published figure."""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from rampbook.estimators.usual_fits import (
    fit_ar1_ml,
    fit_cochrane_orcutt,
    fit_negative_binomial,
    fit_newey_west,
    fit_ordered_logit,
)

Example = Callable[[str, str], Any]
Design = Callable[..., NDArray[np.float64]]


def test_iterative_fit_of_the_library_is_not_cochrane_orcutt(example: Example, design: Design) -> None:
    """Ice cream: published rho .4009 (from memory); the library's own iteration ends at .333."""
    from statsmodels.regression.linear_model import GLSAR

    data = example("Ecdat", "Icecream")
    sold, exog = data["cons"].to_numpy(float), design(data["price"], data["income"], data["temp"])
    theirs = GLSAR(sold, exog, rho=1)
    theirs.iterative_fit(maxiter=100)
    assert float(theirs.rho[0]) == pytest.approx(0.333, abs=5e-3)
    assert fit_cochrane_orcutt(sold, exog).numbers["rho"] == pytest.approx(0.4009, abs=5e-5)


def test_default_standard_errors_of_arima_are_not_used(example: Example, design: Design) -> None:
    """Beavers: standard error of phi .0684 by R arima; .0505 by the library's default (opg)."""
    from statsmodels.tsa.arima.model import ARIMA

    beaver = example("MASS", "beav2")
    temp, exog = beaver["temp"].to_numpy(float), design(beaver["activ"])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        default = ARIMA(temp, exog=exog, order=(1, 0, 0), trend="n").fit()
    assert float(default.bse[2]) == pytest.approx(0.0505, abs=2e-3)
    assert fit_ar1_ml(temp, exog).numbers["rho_error"] == pytest.approx(0.0684, abs=6e-4)


def test_negative_binomial_climbs_to_the_top() -> None:
    """The library's default optimiser reports success with a slope left; ours must leave none."""
    from statsmodels.discrete.discrete_model import NegativeBinomial

    draws = np.random.default_rng(1495)
    exog = np.column_stack([np.ones(1495), draws.normal(size=1495), draws.integers(0, 2, 1495)])
    mean = np.exp(exog @ [2.2, 0.3, -0.2])
    count = draws.negative_binomial(2.0, 2.0 / (2.0 + mean)).astype(np.float64)
    fit = fit_negative_binomial(count, exog)
    # A fresh model takes the logarithm of alpha.
    model = NegativeBinomial(count, exog)
    ours = np.append(fit.coefficients, math.log(fit.numbers["alpha"]))
    default = np.asarray(NegativeBinomial(count, exog).fit(disp=0).params)
    theirs = np.append(default[:-1], math.log(default[-1]))
    assert float(np.max(np.abs(model.score(ours)))) < 1e-8
    assert float(np.max(np.abs(model.score(theirs)))) > 1e-5
    assert fit.numbers["theta"] == pytest.approx(2.0, abs=4 * fit.numbers["theta_error"])


def test_cut_points_are_turned_back_from_log_steps() -> None:
    """Without columns that matter the cut points are the logits of the cumulative shares (closed form)."""
    rating = np.repeat([1.0, 2.0, 3.0, 4.0], [10, 20, 30, 40])
    balanced = np.tile([0.0, 1.0], 50)[:, None]
    fit = fit_ordered_logit(rating, balanced)
    shares = np.cumsum([0.1, 0.2, 0.3])
    cuts = [fit.numbers[f"cut_{place}"] for place in (1, 2, 3)]
    assert fit.coefficients[0] == pytest.approx(0, abs=1e-5)
    assert cuts == pytest.approx([math.log(share / (1 - share)) for share in shares], abs=1e-5)


def test_newey_west_says_its_lags_and_its_factor(example: Example, design: Design) -> None:
    """Printed figures differ by sqrt(n / (n - p)); a reader must see which is shown."""
    data = example("sandwich", "Investment").iloc[1:]
    y, exog = data["RealInv"].to_numpy(float), design(data["RealGNP"], data["RealInt"])
    with_factor, without = fit_newey_west(y, exog, lags=4), fit_newey_west(y, exog, lags=4, correction=False)
    assert with_factor.errors / without.errors == pytest.approx([math.sqrt(19 / 16)] * 3)
    assert "4 lags" in with_factor.algorithm and "multiplied by n/(n-p)" in with_factor.algorithm
    assert "4 lags" in without.algorithm and "no small-sample factor" in without.algorithm
