"""Least squares on the working response, with plain and with Newey-West standard errors."""

from __future__ import annotations

import numpy as np

from rampbook.estimators.usual_fits.fitted import Fit, check_design, quietly
from rampbook.estimators.usual_fits.tabled import Floats


@quietly()
def fit_ols(response: Floats, exog: Floats) -> Fit:
    """Fit by ordinary least squares, t with n - p degrees of freedom."""
    from statsmodels.regression.linear_model import OLS

    check_design(response, exog)
    result = OLS(response, exog).fit()
    numbers = {
        "sigma": float(np.sqrt(result.scale)),
        "rss": float(result.ssr),
        "durbin_watson": durbin_watson(np.asarray(result.resid)),
    }
    algorithm = f"ordinary least squares, t with {result.df_resid:.0f} degrees of freedom"
    return Fit(
        coefficients=np.asarray(result.params),
        errors=_errors(np.asarray(result.bse), result.scale, response),
        degrees=float(result.df_resid),
        algorithm=algorithm,
        numbers=numbers,
    )


@quietly()
def fit_newey_west(response: Floats, exog: Floats, *, lags: int = 1, correction: bool = True) -> Fit:
    """Fit by least squares with Newey-West (Bartlett) standard errors.

    Parameters
    ----------
    response : (n,) float
    exog : (n, p) float
    lags : int
        The largest lag whose products count.
    correction : bool
        Multiply the covariance by n / (n - p). Programs differ in it, so the algorithm's text says which.
    """
    from statsmodels.regression.linear_model import OLS

    check_design(response, exog)
    lags = min(lags, len(response) - 1)
    settings = {"maxlags": lags, "use_correction": correction}
    result = OLS(response, exog).fit(cov_type="HAC", cov_kwds=settings, use_t=True)
    factor = "multiplied by n/(n-p)" if correction else "no small-sample factor"
    algorithm = (
        f"least squares, Newey-West standard errors with {lags} lag{'s' if lags != 1 else ''}, {factor}, "
        f"t with {result.df_resid:.0f} degrees of freedom"
    )
    return Fit(
        coefficients=np.asarray(result.params),
        errors=_errors(np.asarray(result.bse), result.scale, response),
        degrees=float(result.df_resid),
        algorithm=algorithm,
    )


def durbin_watson(residual: Floats) -> float:
    """Sum of squared steps over sum of squares; near 2 when neighbours are unrelated."""
    total = float(np.sum(residual**2))
    return float(np.sum(np.diff(residual) ** 2)) / total if total > 0 else float("nan")


def _errors(errors: Floats, scale: float, response: Floats) -> Floats:
    """Call rounding noise what it is: a residual spread below it leaves no standard error."""
    size = max(1.0, float(np.max(np.abs(response))))
    return np.full_like(errors, np.nan) if scale <= (1e-13 * size) ** 2 else errors
