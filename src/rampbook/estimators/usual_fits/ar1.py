"""Regression with AR(1) errors by exact maximum likelihood."""

from __future__ import annotations

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.usual_fits.fitted import Fit, check_design, quietly, strong_and_short
from rampbook.estimators.usual_fits.tabled import Floats

EDGE = 0.999


@quietly()
def fit_ar1_ml(response: Floats, exog: Floats) -> Fit:
    """Fit with AR(1) errors by exact maximum likelihood, z.

    Parameters
    ----------
    response : (n,) float
    exog : (n, p) float

    Returns
    -------
    Fit
        With ``rho``, ``rho_error``, ``sigma2`` (of the shocks) and ``log_likelihood`` among its numbers.

    Raises
    ------
    DesignError
        If the autocorrelation runs to 1 or -1.

    Notes
    -----
    For a given autocorrelation the likelihood has a closed form, so its top is searched in one dimension; the
    state-space model of statsmodels gives the likelihood there and the numerical Hessian of all parameters
    (``cov_type="approx"``). Its default standard errors are poor in short series. The response and the design
    are scaled first, so that the steps of the Hessian suit every parameter.
    """
    check_design(response, exog, spare=2)
    basis, mixing = np.linalg.qr(exog)
    scale = float(np.linalg.norm(response - basis @ (basis.T @ response)) / np.sqrt(len(response)))
    if scale <= 1e-13 * max(1.0, float(np.max(np.abs(response)))):
        raise DesignError("the values lie exactly on the fitted line, so there is no autocorrelation")
    scaled = response / scale
    rho = _best_rho(scaled, basis)
    if abs(rho) > EDGE:
        raise DesignError(f"the autocorrelation ran to its limit ({rho:.4f}): the series only drifts or swings")
    return _unscaled(*_hessian_fit(scaled, basis, rho), mixing=mixing, scale=scale, rows=len(response))


def _whitened(values: Floats, rho: float) -> Floats:
    """Prais-Winsten rows: uncorrelated and of equal variance when the errors are AR(1) with this rho."""
    white = values.copy()
    white[1:] -= rho * values[:-1]
    white[0] *= np.sqrt(1 - rho**2)
    return white


def _fit_given(rho: float, response: Floats, basis: Floats) -> tuple[Floats, float]:
    """Coefficients and residual sum of squares for a given autocorrelation."""
    y, x = _whitened(response, rho), _whitened(basis, rho)
    coefficients = np.asarray(np.linalg.lstsq(x, y, rcond=None)[0], dtype=np.float64)
    return coefficients, float(np.sum((y - x @ coefficients) ** 2))


def _best_rho(response: Floats, basis: Floats) -> float:
    """Autocorrelation at the top of the profile likelihood: a grid for the right hill, then a fine search."""
    from scipy.optimize import minimize_scalar

    def loss(rho: float) -> float:
        residual = _fit_given(rho, response, basis)[1]
        return float(len(response) * np.log(max(residual, 1e-300)) - np.log(1 - rho**2))

    edges = np.linspace(0.95, 0.9999, 6)
    grid = np.concatenate([-edges[::-1], np.linspace(-0.9, 0.9, 37), edges])
    best = int(np.argmin([loss(float(rho)) for rho in grid]))
    low, high = grid[max(best - 1, 0)], grid[min(best + 1, len(grid) - 1)]
    found = minimize_scalar(loss, bounds=(low, high), method="bounded", options={"xatol": 1e-9})
    return float(found.x)


def _hessian_fit(scaled: Floats, basis: Floats, rho: float) -> tuple[Floats, Floats, float]:
    """Parameters, covariance and log likelihood of the scaled series at its maximum."""
    from statsmodels.tsa.arima.model import ARIMA

    coefficients, residual = _fit_given(rho, scaled, basis)
    parameters = np.concatenate([coefficients, [rho, residual / len(scaled)]])
    model = ARIMA(scaled, exog=basis, order=(1, 0, 0), trend="n")
    try:
        result = model.smooth(parameters, cov_type="approx")
        covariance = np.asarray(result.cov_params())
    except np.linalg.LinAlgError as broken:
        raise DesignError("the likelihood is flat at its top: no standard errors") from broken
    return parameters, covariance, float(result.llf)


def _unscaled(
    parameters: Floats, covariance: Floats, likelihood: float, *, mixing: Floats, scale: float, rows: int
) -> Fit:
    """Turn the fit of the scaled series back into the series' own units."""
    p = mixing.shape[1]
    back = np.linalg.inv(mixing) * scale
    errors = np.sqrt(np.diag(back @ covariance[:p, :p] @ back.T))
    rho, sigma2 = float(parameters[p]), float(parameters[p + 1])
    numbers = {"rho": rho, "rho_error": float(np.sqrt(covariance[p, p])), "sigma2": sigma2 * scale**2}
    numbers["log_likelihood"] = likelihood - rows * float(np.log(scale))
    return Fit(
        coefficients=back @ parameters[:p],
        errors=errors,
        degrees=float("inf"),
        algorithm=(
            "regression with AR(1) errors, exact maximum likelihood, standard errors from the numerical "
            f"Hessian of all parameters, z; autocorrelation {rho:.3f}{strong_and_short(rho, rows)}"
        ),
        numbers=numbers,
    )
