"""Counts that vary more than chance: negative binomial regression (NB2) by maximum likelihood."""

from __future__ import annotations

from typing import Any

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.usual_fits.counts import poisson_result
from rampbook.estimators.usual_fits.fitted import Fit, quietly
from rampbook.estimators.usual_fits.tabled import Floats


@quietly()
def fit_negative_binomial(count: Floats, exog: Floats, exposure: Floats | None = None) -> Fit:
    """Fit an NB2 regression by maximum likelihood, variance mu + alpha mu squared, z.

    Returns
    -------
    Fit
        With ``alpha``, ``theta`` (its inverse), ``theta_error`` and ``log_likelihood`` among its numbers.
        When the counts vary no more than chance, alpha is 0, the fit is the Poisson fit, and the algorithm
        says so.

    Raises
    ------
    DesignError
        If the likelihood's top is not reached: the slope there is checked, because the library's default
        optimiser reports success too early.
    """
    plain = poisson_result(count, exog, exposure)
    excess = float(np.sum((count - plain.mu) ** 2 - count))
    if excess <= 0:
        return _poisson_limit(plain)
    alpha = max(float(np.sum((count - plain.mu) ** 2 - plain.mu) / np.sum(plain.mu**2)), 1e-3)
    start = np.concatenate([np.asarray(plain.params), [alpha]])
    result = _top(count, exog, exposure, start)
    alpha, alpha_error = float(result.params[-1]), float(result.bse[-1])
    numbers = {
        "alpha": alpha,
        "theta": 1 / alpha,
        "theta_error": alpha_error / alpha**2,
        "log_likelihood": float(result.llf),
    }
    return Fit(
        coefficients=np.asarray(result.params)[:-1],
        errors=np.asarray(result.bse)[:-1],
        degrees=float("inf"),
        algorithm=(
            f"negative binomial regression (variance mu + alpha mu squared, alpha {alpha:.4g}), maximum "
            "likelihood by Newton steps, log link, offset log exposure, z"
        ),
        numbers=numbers,
    )


def _top(count: Floats, exog: Floats, exposure: Floats | None, start: Floats) -> Any:
    """Climb by Newton steps; where they overshoot, walk with BFGS first."""
    from statsmodels.discrete.discrete_model import NegativeBinomial

    model = NegativeBinomial(count, exog, exposure=exposure)
    for walk_first in (False, True):
        try:
            walk = {"method": "bfgs", "gtol": 1e-8, "maxiter": 2000, "disp": 0}
            begin = model.fit(**walk).params if walk_first else start
            result = model.fit(method="newton", start_params=begin, maxiter=200, tol=1e-10, disp=0)
        except np.linalg.LinAlgError:
            continue
        if _is_top(model, result, float(np.sum(count))):
            return result
    raise DesignError("the likelihood's top was not reached: the dispersion cannot be told from these counts")


def _is_top(model: Any, result: Any, total: float) -> bool:
    parameters = np.asarray(result.params)
    known = np.isfinite(parameters).all() and np.isfinite(np.asarray(result.bse)).all()
    if not (known and parameters[-1] > 0):
        return False
    return float(np.max(np.abs(model.score(parameters)))) < 1e-6 * max(1.0, total)


def _poisson_limit(plain: Any) -> Fit:
    return Fit(
        coefficients=np.asarray(plain.params),
        errors=np.asarray(plain.bse),
        degrees=float("inf"),
        algorithm=(
            "negative binomial regression at its limit: the counts vary no more than chance, alpha is 0, "
            "and this is the Poisson fit, z"
        ),
        numbers={"alpha": 0.0, "log_likelihood": float(plain.llf)},
    )
