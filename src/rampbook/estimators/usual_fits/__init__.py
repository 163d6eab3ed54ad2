"""The usual textbook fits of one series, side by side: the sensitivity table."""

from __future__ import annotations

from rampbook.estimators.usual_fits.ar1 import fit_ar1_ml
from rampbook.estimators.usual_fits.cochrane_orcutt import fit_cochrane_orcutt
from rampbook.estimators.usual_fits.counts import fit_poisson, fit_quasi_poisson
from rampbook.estimators.usual_fits.fitted import Fit, FitRow
from rampbook.estimators.usual_fits.linear import fit_newey_west, fit_ols
from rampbook.estimators.usual_fits.mixed import fit_mixed
from rampbook.estimators.usual_fits.negative_binomial import fit_negative_binomial
from rampbook.estimators.usual_fits.ordered import fit_ordered_logit
from rampbook.estimators.usual_fits.successes import fit_binomial
from rampbook.estimators.usual_fits.table import ROW_NAMES, usual_fits
from rampbook.estimators.usual_fits.tabled import Tabled

__all__ = [
    "ROW_NAMES",
    "Fit",
    "FitRow",
    "Tabled",
    "fit_ar1_ml",
    "fit_binomial",
    "fit_cochrane_orcutt",
    "fit_mixed",
    "fit_negative_binomial",
    "fit_newey_west",
    "fit_ols",
    "fit_ordered_logit",
    "fit_poisson",
    "fit_quasi_poisson",
    "usual_fits",
]
