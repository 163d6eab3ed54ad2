"""Feasible generalised least squares with AR(1) errors: the textbook iterated Cochrane-Orcutt.

``GLSAR.iterative_fit`` of statsmodels is something else: it estimates the autocorrelation by Yule-Walker, and
ends at .333 where the published ice-cream example has .401. So only its single step is used here.
"""

from __future__ import annotations

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.usual_fits.fitted import Fit, check_design, quietly, strong_and_short
from rampbook.estimators.usual_fits.linear import durbin_watson
from rampbook.estimators.usual_fits.tabled import Floats


@quietly()
def fit_cochrane_orcutt(response: Floats, exog: Floats, *, most_rounds: int = 500) -> Fit:
    """Fit with AR(1) errors by iterated Cochrane-Orcutt; the first row is dropped.

    Parameters
    ----------
    response : (n,) float
    exog : (n, p) float
    most_rounds : int
        Rounds after which the iteration counts as not settling; one round is the one-step estimator.

    Returns
    -------
    Fit
        With ``rho``, ``durbin_watson`` (of the transformed residuals) and ``rounds`` among its numbers.

    Raises
    ------
    DesignError
        If the autocorrelation leaves -1 to 1, or does not settle.

    Notes
    -----
    A round regresses the residual on the one before it, without an intercept, and refits the differenced
    rows.
    """
    from statsmodels.regression.linear_model import GLSAR, OLS

    check_design(response, exog, spare=2)
    coefficients = np.asarray(OLS(response, exog).fit().params)
    rho, rounds = 0.0, 0
    while rounds < most_rounds:
        rho_before, rho = rho, _step(response - exog @ coefficients)
        if not abs(rho) < 1:
            raise DesignError(f"the autocorrelation left -1 to 1 ({rho:.3f}) in round {rounds + 1}")
        result = GLSAR(response, exog, rho=rho).fit()
        coefficients, rounds = np.asarray(result.params), rounds + 1
        if abs(rho - rho_before) < 1e-10:
            break
    if rounds == most_rounds > 1:
        raise DesignError(f"the autocorrelation did not settle in {most_rounds} rounds (last {rho:.3f})")
    errors = np.asarray(result.bse)
    numbers = {"rho": rho, "durbin_watson": durbin_watson(np.asarray(result.wresid)), "rounds": float(rounds)}
    degrees = float(len(response) - 1 - exog.shape[1])
    return Fit(
        coefficients=coefficients,
        errors=errors,
        degrees=degrees,
        algorithm=_told(rho, rounds, len(response), degrees),
        numbers=numbers,
    )


def _step(residual: Floats) -> float:
    """Slope of each residual on the one before it, through the origin."""
    before = float(np.sum(residual[:-1] ** 2))
    if before <= 1e-24 * max(1.0, float(len(residual))):
        raise DesignError("the values lie exactly on the fitted line, so there is no autocorrelation")
    return float(np.sum(residual[1:] * residual[:-1])) / before


def _told(rho: float, rounds: int, rows: int, degrees: float) -> str:
    told = (
        f"iterated Cochrane-Orcutt ({rounds} round{'s' if rounds != 1 else ''}), first practice dropped, "
        f"autocorrelation {rho:.3f}, t with {degrees:.0f} degrees of freedom"
    )
    return told + strong_and_short(rho, rows)
