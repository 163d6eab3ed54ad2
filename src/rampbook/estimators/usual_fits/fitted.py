"""What a textbook fit gives back, and how one coefficient of it becomes a row of the sensitivity table."""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.usual_fits.tabled import Floats

CONFIDENCE = 0.95
# Beyond this a log ratio or log odds has run off: exp(15) is three million to one.
RUNAWAY = 15.0
STRONG, SHORT = 0.8, 50


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """One fitted model.

    Attributes
    ----------
    coefficients, errors : (p,) float
        On the link scale, with their standard errors, in the order of the design's columns.
    degrees : float
        Degrees of freedom of the t distribution that the interval uses; infinite for z.
    algorithm : str
        What was done, exactly enough to do it again.
    numbers : dict of str to float
        The other parameters of the model, by name.
    """

    coefficients: Floats
    errors: Floats
    degrees: float
    algorithm: str
    numbers: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class FitRow:
    """One row of the sensitivity table, 95% interval; parts that cannot be had are None with a reason."""

    name: str
    estimate: float | None
    low: float | None
    high: float | None
    p: float | None
    algorithm: str = ""
    reason: str | None = None


def no_row(name: str, reason: str, *, algorithm: str = "") -> FitRow:
    """Give the row of a fit that cannot be had."""
    return FitRow(name=name, estimate=None, low=None, high=None, p=None, algorithm=algorithm, reason=reason)


def row_of_fit(name: str, fit: Fit, column: int, *, ratio: bool) -> FitRow:
    """Read one coefficient of a fit as a row, on the reported scale."""
    from scipy import stats

    value, error = float(fit.coefficients[column]), float(fit.errors[column])
    if not math.isfinite(value) or (ratio and abs(value) > 500):
        return no_row(name, "the fit ran off to infinity", algorithm=fit.algorithm)
    estimate = math.exp(value) if ratio else value
    if not math.isfinite(error) or error <= 1e-12 * max(1.0, abs(value)):
        reason = "the values lie exactly on the fitted line, or say too little, so there is no interval"
        return FitRow(name=name, estimate=estimate, low=None, high=None, p=None, algorithm=fit.algorithm, reason=reason)
    spread = stats.norm() if math.isinf(fit.degrees) else stats.t(fit.degrees)
    half = float(spread.ppf(0.5 + CONFIDENCE / 2)) * error
    low, high = value - half, value + half
    if ratio:
        low, high = (math.exp(min(end, 700.0)) for end in (low, high))
    p = 2 * float(spread.sf(abs(value) / error))
    return FitRow(name=name, estimate=estimate, low=low, high=high, p=p, algorithm=fit.algorithm)


def check_design(response: Floats, exog: Floats, *, spare: int = 1) -> None:
    """Refuse a table that has no single answer.

    Parameters
    ----------
    response : (n,) float
    exog : (n, p) float
    spare : int
        How many rows more than columns the fit needs.

    Raises
    ------
    DesignError
        If a value is missing, the rows are too few, or the columns repeat one another.
    """
    rows, columns = exog.shape
    if not (np.isfinite(response).all() and np.isfinite(exog).all()):
        raise DesignError("a value is missing or not a number")
    if rows < columns + spare:
        raise DesignError(f"{rows} rows are too few for {columns} coefficients; {columns + spare} are needed")
    size = np.linalg.norm(exog, axis=0)
    if (size == 0).any() or np.linalg.matrix_rank(exog / size, tol=1e-9) < columns:
        raise DesignError(
            "the phase, the trend and the covariates say the same thing twice, so there is no single answer; "
            "leave out a covariate that repeats another column"
        )


def check_settled(coefficients: Floats, column: int, what: str) -> None:
    """Refuse a coefficient on a log or logit scale that has run off."""
    if not abs(float(coefficients[column])) < RUNAWAY:
        raise DesignError(f"{what}, so the ratio has no finite estimate")


def strong_and_short(rho: float, rows: int) -> str:
    """Give the warning that belongs to a strong autocorrelation estimated from a short series, else nothing."""
    if rho > STRONG and rows < SHORT:
        return f"; above {STRONG} in {rows} practices cannot be told from drift: do not rely on it"
    return ""


@contextmanager
def quietly() -> Iterator[None]:
    """Keep a library's warnings and floating-point notes off the screen; the fits say what matters."""
    with warnings.catch_warnings(), np.errstate(all="ignore"):
        warnings.simplefilter("ignore")
        yield
