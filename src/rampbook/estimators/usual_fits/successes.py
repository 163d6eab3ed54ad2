"""Successes out of tries: binomial regression with logit link."""

from __future__ import annotations

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.usual_fits.fitted import Fit, check_design, quietly
from rampbook.estimators.usual_fits.tabled import Floats


@quietly()
def fit_binomial(successes: Floats, tries: Floats, exog: Floats) -> Fit:
    """Fit a binomial regression, logit link, z.

    Raises
    ------
    DesignError
        If every try succeeded, every try failed, or the iteration does not settle.
    """
    from statsmodels.genmod.families import Binomial
    from statsmodels.genmod.generalized_linear_model import GLM

    check_design(successes, exog)
    if not 0 < np.sum(successes) < np.sum(tries):
        raise DesignError("every try ended the same way")
    model = GLM(np.column_stack([successes, tries - successes]), exog, family=Binomial())
    try:
        result = model.fit(maxiter=200, tol=1e-10)
    except np.linalg.LinAlgError as broken:
        raise DesignError("the iteration broke down: some columns leave nothing to compare") from broken
    if not result.converged:
        raise DesignError("the iteration did not settle: some columns split the tries completely")
    return Fit(
        coefficients=np.asarray(result.params),
        errors=np.asarray(result.bse),
        degrees=float("inf"),
        algorithm="binomial regression of successes out of tries, logit link, z",
        numbers={"deviance": float(result.deviance), "log_likelihood": float(result.llf)},
    )
