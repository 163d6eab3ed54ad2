"""Attempts within practices: the linear mixed model with a random intercept, by restricted likelihood."""

from __future__ import annotations

from typing import Any

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.usual_fits.fitted import Fit, check_design, quietly
from rampbook.estimators.usual_fits.tabled import Floats, Integers


@quietly()
def fit_mixed(
    response: Floats,
    exog: Floats,
    groups: Integers,
    *,
    random: Floats | None = None,
    within: Integers | None = None,
    restricted: bool = True,
) -> Fit:
    """Fit a linear mixed model, z.

    Parameters
    ----------
    response : (m,) float
    exog : (m, p) float
    groups : (m,) int
        Which group (practice) each row belongs to.
    random : (m, q) float, optional
        Design of the random effects; one random intercept a group when left out.
    within : (m,) int, optional
        A second level inside the groups, with a random intercept of its own.
    restricted : bool
        Restricted likelihood (the default) or full likelihood.

    Returns
    -------
    Fit
        With ``group_variance`` (of the first random effect), ``within_variance``, ``residual_variance``,
        ``random_covariance_IJ`` and ``log_likelihood`` among its numbers. A group variance of 0 is told in
        the algorithm, not hidden.

    Raises
    ------
    DesignError
        If the likelihood breaks down.

    Notes
    -----
    The library stops early: variances agree with other programs to about 3 in 1,000.
    """
    from statsmodels.regression.mixed_linear_model import MixedLM

    check_design(response, exog)
    if random is None:
        _check_spread(response, groups)
    nested = None if within is None else _nested(groups, within)
    # Said outright: with a second level given, the library leaves the group's own intercept out.
    effects = np.ones((len(response), 1)) if random is None else random
    model = MixedLM(response, exog, groups=groups, exog_re=effects, exog_vc=nested)
    is_plain = random is None and within is None
    start = _start(response, exog, groups, restricted=restricted) if is_plain else None
    try:
        result = model.fit(start_params=start, reml=restricted, method=["bfgs", "lbfgs", "cg"], gtol=1e-7)
        errors = np.asarray(result.bse_fe)
    except (np.linalg.LinAlgError, ZeroDivisionError) as broken:
        raise DesignError("the likelihood broke down: the attempts vary too little") from broken
    numbers = _numbers(result)
    return Fit(
        coefficients=np.asarray(result.fe_params),
        errors=errors,
        degrees=float("inf"),
        algorithm=_told(numbers, restricted=restricted, settled=bool(result.converged)),
        numbers=numbers,
    )


def _check_spread(response: Floats, groups: Integers) -> None:
    """Refuse attempts that are all alike within their groups: no variance is left to tell apart."""
    inside = [float(np.ptp(response[groups == group])) for group in np.unique(groups)]
    if max(inside) <= 1e-12 * max(1.0, float(np.max(np.abs(response)))):
        raise DesignError("the attempts of one practice are always alike, so there is nothing to split")


def _start(response: Floats, exog: Floats, groups: Integers, *, restricted: bool) -> Any:
    """Find the top for one random intercept in one dimension, so that the library's search starts there.

    For a given ratio of the two variances the likelihood has a closed form, made of sums over each group.
    """
    from scipy.optimize import minimize_scalar
    from statsmodels.regression.mixed_linear_model import MixedLMParams

    _, place, size = np.unique(groups, return_inverse=True, return_counts=True)
    table = np.column_stack([exog, response])
    sums = np.zeros((len(size), table.shape[1]))
    np.add.at(sums, place, table)
    products, columns = table.T @ table, exog.shape[1]
    degrees = len(response) - (columns if restricted else 0)

    def loss(log_ratio: float) -> float:
        ratio = np.exp(log_ratio)
        weighed = products - (sums * (ratio / (1 + ratio * size))[:, None]).T @ sums
        inner, cross = weighed[:columns, :columns], weighed[:columns, -1]
        residual = weighed[-1, -1] - cross @ np.linalg.solve(inner, cross)
        spread = degrees * np.log(max(residual, 1e-300)) + np.sum(np.log1p(ratio * size))
        return float(spread + (np.linalg.slogdet(inner)[1] if restricted else 0.0))

    found = minimize_scalar(loss, bounds=(-18.0, 18.0), method="bounded", options={"xatol": 1e-8})
    parameters = MixedLMParams(columns, 1, 0)
    parameters.cov_re = np.array([[np.exp(found.x)]])
    parameters.fe_params = np.zeros(columns)
    parameters.vcomp = np.zeros(0)
    return parameters


def _nested(groups: Integers, within: Integers) -> Any:
    """Describe a random intercept for every class of ``within`` inside every group."""
    from statsmodels.regression.mixed_linear_model import VCSpec

    names, matrices = [], []
    for group in np.unique(groups):
        inside = within[groups == group]
        classes = np.unique(inside)
        matrices.append((inside[:, None] == classes[None, :]).astype(float))
        names.append([str(one) for one in classes])
    return VCSpec(["within"], [names], [matrices])


def _numbers(result: Any) -> dict[str, float]:
    numbers = {"residual_variance": float(result.scale), "log_likelihood": float(result.llf)}
    covariance = np.asarray(result.cov_re)
    if covariance.size:
        # The search works on square roots and only comes near zero; below a millionth it is zero.
        near_zero = covariance[0, 0] <= 1e-6 * numbers["residual_variance"]
        numbers["group_variance"] = 0.0 if near_zero else float(covariance[0, 0])
    for row in range(len(covariance)):
        for column in range(row + 1):
            numbers[f"random_covariance_{row}{column}"] = float(covariance[row, column])
    if len(result.vcomp):
        numbers["within_variance"] = float(result.vcomp[0])
    return numbers


def _told(numbers: dict[str, float], *, restricted: bool, settled: bool) -> str:
    likelihood = "restricted maximum likelihood" if restricted else "maximum likelihood"
    told = f"linear mixed model of single attempts, {likelihood}, random intercept by practice, z"
    if numbers.get("group_variance") == 0.0:
        told += "; the variance between practices came out as zero"
    elif "group_variance" in numbers:
        told += f"; {_share(numbers):.0%} of the variance lies between practices"
    return told if settled else told + "; the optimiser did not report that it had settled"


def _share(numbers: dict[str, float]) -> float:
    return numbers["group_variance"] / (numbers["group_variance"] + numbers["residual_variance"])
