"""Ratings as ordered classes: the proportional-odds (cumulative logit) model."""

from __future__ import annotations

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.usual_fits.fitted import Fit, check_design, quietly
from rampbook.estimators.usual_fits.tabled import Floats

MOST_CLASSES = 60


@quietly()
def fit_ordered_logit(rating: Floats, exog: Floats) -> Fit:
    """Fit a cumulative logit model by maximum likelihood, z.

    Parameters
    ----------
    rating : (m,) float
        Any numbers; only their order counts.
    exog : (m, p) float
        Without a column of ones: the cut points take its place.

    Returns
    -------
    Fit
        Positive coefficients mean higher ratings. ``cut_1`` … are among its numbers, as they stand on the
        logit scale: the library keeps the first cut and the logarithms of the steps between cuts.

    Raises
    ------
    DesignError
        If all ratings are equal, there are too many different ones, or the top is not reached.
    """
    from statsmodels.miscmodels.ordinal_model import OrderedModel

    check_design(rating, np.column_stack([np.ones(len(rating)), exog]))
    classes = len(np.unique(rating))
    if classes < 2:
        raise DesignError("all ratings are equal")
    if classes > MOST_CLASSES:
        raise DesignError(f"{classes} different ratings are too many for classes; {MOST_CLASSES} is the most")
    model = OrderedModel(rating, exog, distr="logit")
    result = model.fit(method="bfgs", maxiter=300, gtol=1e-7, disp=0)
    parameters = np.asarray(result.params)
    slope = float(np.max(np.abs(model.score(parameters))))
    errors = np.asarray(result.bse)[: exog.shape[1]]
    cuts = np.asarray(model.transform_threshold_params(parameters))[1:-1]
    if not slope < 1e-3:
        raise DesignError("the likelihood's top was not reached: some columns split the ratings completely")
    numbers = {f"cut_{place}": float(cut) for place, cut in enumerate(cuts, start=1)}
    return Fit(
        coefficients=parameters[: exog.shape[1]],
        errors=errors,
        degrees=float("inf"),
        algorithm=(
            f"cumulative logit (proportional odds) of {len(rating)} single ratings in {classes} classes, "
            "each taken as independent, maximum likelihood by BFGS, z; an odds ratio"
        ),
        numbers=numbers | {"log_likelihood": float(result.llf)},
    )
