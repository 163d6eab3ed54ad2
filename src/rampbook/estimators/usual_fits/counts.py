"""Counts with exposure: Poisson and quasi-Poisson regression."""

from __future__ import annotations

from typing import Any

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.usual_fits.fitted import Fit, check_design, quietly
from rampbook.estimators.usual_fits.tabled import Floats


@quietly()
def fit_poisson(count: Floats, exog: Floats, exposure: Floats | None = None) -> Fit:
    """Fit a Poisson regression, log link, offset log exposure, z.

    Returns
    -------
    Fit
        With ``deviance``, ``degrees`` (residual) and ``log_likelihood`` among its numbers.
    """
    result = poisson_result(count, exog, exposure)
    numbers = _numbers(result) | {"log_likelihood": float(result.llf)}
    return _fit(result, "Poisson regression, log link, offset log exposure, z", numbers)


@quietly()
def fit_quasi_poisson(count: Floats, exog: Floats, exposure: Floats | None = None) -> Fit:
    """Fit a Poisson regression, variance scaled by Pearson chi-square over its degrees, z."""
    result = poisson_result(count, exog, exposure, scale="X2")
    dispersion = float(result.scale)
    algorithm = (
        "Poisson regression, log link, offset log exposure, variance scaled by Pearson chi-square over "
        f"degrees of freedom ({dispersion:.3f}), z"
    )
    return _fit(result, algorithm, _numbers(result) | {"dispersion": dispersion})


@quietly()
def poisson_result(count: Floats, exog: Floats, exposure: Floats | None, *, scale: str | None = None) -> Any:
    """Run the iteration and give the library's result.

    Raises
    ------
    DesignError
        If nothing was counted, or the iteration does not settle.
    """
    from statsmodels.genmod.families import Poisson
    from statsmodels.genmod.generalized_linear_model import GLM

    check_design(count, exog)
    if not np.sum(count) > 0:
        raise DesignError("nothing was counted in any practice")
    model = GLM(count, exog, family=Poisson(), offset=None if exposure is None else np.log(exposure))
    try:
        result = model.fit(scale=scale, maxiter=200, tol=1e-10)
    except np.linalg.LinAlgError as broken:
        raise DesignError("the iteration broke down: some columns leave nothing to compare") from broken
    if not result.converged:
        raise DesignError("the iteration did not settle")
    return result


def _numbers(result: Any) -> dict[str, float]:
    return {
        "deviance": float(result.deviance),
        "degrees": float(result.df_resid),
        "pearson": float(result.pearson_chi2),
    }


def _fit(result: Any, algorithm: str, numbers: dict[str, float]) -> Fit:
    return Fit(
        coefficients=np.asarray(result.params),
        errors=np.asarray(result.bse),
        degrees=float("inf"),
        algorithm=algorithm,
        numbers=numbers,
    )
