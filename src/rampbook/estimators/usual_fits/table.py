"""Every row of the sensitivity table, always all of them, in one order."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.lots import SEED, Lots, randomisation_test
from rampbook.estimators.usual_fits.ar1 import fit_ar1_ml
from rampbook.estimators.usual_fits.cochrane_orcutt import fit_cochrane_orcutt
from rampbook.estimators.usual_fits.counts import fit_poisson, fit_quasi_poisson
from rampbook.estimators.usual_fits.fitted import CONFIDENCE, Fit, FitRow, check_settled, no_row, row_of_fit
from rampbook.estimators.usual_fits.linear import fit_newey_west, fit_ols
from rampbook.estimators.usual_fits.mixed import fit_mixed
from rampbook.estimators.usual_fits.negative_binomial import fit_negative_binomial
from rampbook.estimators.usual_fits.ordered import fit_ordered_logit
from rampbook.estimators.usual_fits.ranks import rank_row
from rampbook.estimators.usual_fits.successes import fit_binomial
from rampbook.estimators.usual_fits.tabled import Floats, Integers, Tabled

ROW_NAMES = (
    "ols", "newey_west", "glsar", "ar1_ml", "poisson", "quasi_poisson", "negative_binomial", "binomial",
    "ordered_logit", "mixed", "mann_whitney", "randomisation",
)  # fmt: skip


def usual_fits(
    tabled: Tabled, *, lags: int = 1, lots: Lots | Integers | None = None, seed: int = SEED
) -> tuple[FitRow, ...]:
    """Fit one series in every usual way.

    Parameters
    ----------
    tabled : Tabled
        The series.
    lags : int
        Lags of the Newey-West standard errors.
    lots : Lots or (l, n) int, optional
        The orders of settings that could have been drawn, where they are known; see ``randomisation_test``.
    seed : int
        Of the drawing, where there are too many orders to go through.

    Returns
    -------
    tuple of FitRow
        One row a name in ``ROW_NAMES``, in that order, with 95% intervals. A fit that does not apply, or
        cannot be had, is a row of None with the reason. Estimates are ratios for times, counts and
        successes, points for ratings; ``ordered_logit`` is an odds ratio.
    """
    fits: dict[str, Callable[[], FitRow]] = {
        "ols": lambda: _line(tabled, "ols", fit_ols(tabled.response, tabled.exog)),
        "newey_west": lambda: _line(tabled, "newey_west", fit_newey_west(tabled.response, tabled.exog, lags=lags)),
        "glsar": lambda: _line(tabled, "glsar", fit_cochrane_orcutt(tabled.response, tabled.exog)),
        "ar1_ml": lambda: _line(tabled, "ar1_ml", fit_ar1_ml(tabled.response, tabled.exog)),
        "poisson": lambda: _count(tabled, "poisson", fit_poisson),
        "quasi_poisson": lambda: _count(tabled, "quasi_poisson", fit_quasi_poisson),
        "negative_binomial": lambda: _count(tabled, "negative_binomial", fit_negative_binomial),
        "binomial": lambda: _binomial(tabled),
        "ordered_logit": lambda: _ordered(tabled),
        "mixed": lambda: _mixed(tabled),
        "mann_whitney": lambda: _ranks(tabled),
        "randomisation": lambda: _by_lot(tabled, lots, seed),
    }
    return tuple(_row(name, fits[name]) for name in ROW_NAMES)


def _row(name: str, fit: Callable[[], FitRow]) -> FitRow:
    try:
        return fit()
    except DesignError as cannot:
        return no_row(name, str(cannot))


def _line(tabled: Tabled, name: str, fit: Fit) -> FitRow:
    return row_of_fit(name, fit, tabled.column, ratio=tabled.is_ratio)


def _count(tabled: Tabled, name: str, fit: Callable[[Floats, Floats, Floats | None], Fit]) -> FitRow:
    if tabled.count is None:
        return no_row(name, "for counts only")
    for phase, when in ((0, "before"), (1, "after")):
        if not np.sum(tabled.count[tabled.phase == phase]) > 0:
            raise DesignError(f"nothing was counted {when} the change, so the ratio has no finite estimate")
    fitted = fit(tabled.count, tabled.steady_exog, tabled.exposure)
    check_settled(fitted.coefficients, tabled.column, "a covariate splits the counts completely")
    return row_of_fit(name, fitted, tabled.column, ratio=True)


def _binomial(tabled: Tabled) -> FitRow:
    if tabled.successes is None or tabled.tries is None:
        return no_row("binomial", "for successes out of tries only")
    for phase, when in ((0, "before"), (1, "after")):
        here = tabled.phase == phase
        if not 0 < np.sum(tabled.successes[here]) < np.sum(tabled.tries[here]):
            raise DesignError(f"every try {when} the change ended alike, so the ratio has no finite estimate")
    fitted = fit_binomial(tabled.successes, tabled.tries, tabled.steady_exog)
    check_settled(fitted.coefficients, tabled.column, "a covariate splits successes from failures completely")
    return row_of_fit("binomial", fitted, tabled.column, ratio=True)


def _ordered(tabled: Tabled) -> FitRow:
    if tabled.kind != "rating":
        return no_row("ordered_logit", "for ratings only")
    rating, row = _attempts(tabled)
    old, new = (rating[tabled.phase[row] == phase] for phase in (0, 1))
    if not (len(old) and len(new)):
        raise DesignError("only one setting was rated")
    if np.max(old) < np.min(new) or np.max(new) < np.min(old):
        raise DesignError("the ratings of old and new setting do not overlap, so the odds ratio has no finite estimate")
    without_ones = np.delete(tabled.steady_exog, 0, axis=1)[row]
    fitted = fit_ordered_logit(rating, without_ones)
    check_settled(fitted.coefficients, tabled.column - 1, "the ratings of old and new setting do not overlap")
    return row_of_fit("ordered_logit", fitted, tabled.column - 1, ratio=True)


def _mixed(tabled: Tabled) -> FitRow:
    if tabled.kind not in ("time", "rating"):
        return no_row("mixed", "for attempts of times and ratings only")
    value, row = _attempts(tabled)
    if len(np.unique(row)) == len(row):
        return no_row("mixed", "one attempt a practice: attempts and practices cannot be told apart")
    if tabled.kind == "time":
        value = np.log(value)
    return row_of_fit("mixed", fit_mixed(value, tabled.steady_exog[row], row), tabled.column, ratio=tabled.is_ratio)


def _attempts(tabled: Tabled) -> tuple[Floats, Integers]:
    """Every attempt with the row of its practice; the practices themselves where no attempts are known."""
    if tabled.attempt_value is None or tabled.attempt_practice is None:
        return tabled.response, np.arange(len(tabled.response))
    return tabled.attempt_value, tabled.attempt_practice


def _ranks(tabled: Tabled) -> FitRow:
    before, after = (tabled.response[tabled.phase == phase] for phase in (0, 1))
    return rank_row("mann_whitney", before, after, ratio=tabled.is_ratio)


def _by_lot(tabled: Tabled, lots: Lots | Integers | None, seed: int) -> FitRow:
    phase = tabled.phase.astype(np.int64)
    test = randomisation_test(tabled.response, phase, lots=lots, seed=seed, confidence=CONFIDENCE)
    natural = _ratio if tabled.is_ratio else float
    return FitRow(
        name="randomisation",
        estimate=natural(test.difference),
        low=None if test.low is None else natural(test.low),
        high=None if test.high is None else natural(test.high),
        p=test.p,
        algorithm=test.algorithm,
        reason=test.no_interval,
    )


def _ratio(log_ratio: float) -> float:
    return float(np.exp(min(log_ratio, 700.0)))
