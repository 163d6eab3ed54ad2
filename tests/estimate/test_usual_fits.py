"""The sensitivity table as a whole: every row, in order, with a reason where there is no number."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from rampbook.estimators.usual_fits import ROW_NAMES, FitRow, Tabled, fit_ar1_ml, usual_fits

Floats = NDArray[np.float64]
N = 16
ATTEMPTS = 4


def phase_of(n: int = N) -> Floats:
    return (np.arange(n) >= n // 2).astype(np.float64)


def exog_of(*covariates: Floats, n: int = N) -> Floats:
    return np.column_stack([np.ones(n), np.arange(n) - (n - 1) / 2, phase_of(n), *covariates])


def times(seed: int = 1) -> Tabled:
    draws = np.random.default_rng(seed)
    row = np.repeat(np.arange(N), ATTEMPTS)
    log_seconds = 2.5 - 0.12 * phase_of()[row] + 0.05 * draws.normal(size=N)[row] + 0.08 * draws.normal(size=len(row))
    response = log_seconds.reshape(N, ATTEMPTS).mean(axis=1)
    return Tabled(
        kind="time", response=response, exog=exog_of(), column=2,
        attempt_value=np.exp(log_seconds), attempt_practice=row,
    )  # fmt: skip


def counts(values: Floats | None = None) -> Tabled:
    draws = np.random.default_rng(2)
    count = draws.negative_binomial(2, 0.2, N).astype(np.float64) if values is None else values
    exposure = draws.uniform(20, 40, N)
    half = 0.5 if (count == 0).any() else 0.0
    return Tabled(
        kind="count", response=np.log((count + half) / exposure), exog=exog_of(), column=2,
        count=count, exposure=exposure,
    )  # fmt: skip


def ratings(values: Floats | None = None) -> Tabled:
    draws = np.random.default_rng(3)
    rating = np.clip(np.round(6 + phase_of() + 1.5 * draws.normal(size=N)), 0, 10) if values is None else values
    return Tabled(kind="rating", response=rating, exog=exog_of(), column=2)


def successes(values: Floats | None = None) -> Tabled:
    done = np.random.default_rng(4).binomial(8, 0.6, N).astype(np.float64) if values is None else values
    tries = np.full(N, 8.0)
    return Tabled(
        kind="success", response=np.log((done + 0.5) / (tries - done + 0.5)), exog=exog_of(), column=2,
        successes=done, tries=tries,
    )  # fmt: skip


def rows_of(tabled: Tabled) -> dict[str, FitRow]:
    return {row.name: row for row in usual_fits(tabled)}


HAVE = {
    "time": {"mixed"},
    "count": {"poisson", "quasi_poisson", "negative_binomial"},
    "rating": {"ordered_logit"},
    "success": {"binomial"},
}
ALWAYS = {"ols", "newey_west", "glsar", "ar1_ml", "mann_whitney", "randomisation"}


@pytest.mark.parametrize("tabled", [times(), counts(), ratings(), successes()], ids=lambda tabled: tabled.kind)
def test_every_row_in_order_and_what_does_not_apply_says_so(tabled: Tabled) -> None:
    rows = usual_fits(tabled)
    assert tuple(row.name for row in rows) == ROW_NAMES
    assert {row.name for row in rows if row.estimate is not None} == ALWAYS | HAVE[tabled.kind]
    for row in rows:
        assert row.reason if row.estimate is None else row.algorithm
        assert (row.low is None) == (row.high is None)
        if row.low is not None and row.high is not None and row.estimate is not None:
            assert row.low <= row.estimate <= row.high


def test_interval_ends_where_p_is_five_per_cent() -> None:
    """Testing at the end of an interval must give p = .05."""
    tabled = ratings()
    for name in ("ols", "newey_west", "glsar", "ar1_ml"):
        row = rows_of(tabled)[name]
        assert row.low is not None
        moved = replace(tabled, response=tabled.response - row.low * tabled.phase)
        assert rows_of(moved)[name].p == pytest.approx(0.05, abs=1e-4)


def test_rows_do_not_depend_on_the_scale_of_a_covariate() -> None:
    covariate = np.random.default_rng(5).normal(size=N)
    plain = rows_of(replace(counts(), exog=exog_of(covariate)))
    large = rows_of(replace(counts(), exog=exog_of(1e6 * covariate + 4e6)))
    for name in ("ols", "newey_west", "glsar", "ar1_ml", "poisson", "quasi_poisson", "negative_binomial"):
        assert (large[name].estimate, large[name].low, large[name].p) == pytest.approx(
            (plain[name].estimate, plain[name].low, plain[name].p), rel=1e-4
        )


def test_ratio_rows_turn_over_when_old_and_new_change_places() -> None:
    tabled = times()
    exog = tabled.exog.copy()
    exog[:, 2] = 1 - exog[:, 2]
    turned = rows_of(replace(tabled, exog=exog))
    for name, row in rows_of(tabled).items():
        other = turned[name]
        if row.estimate is not None and other.estimate is not None:
            assert other.estimate == pytest.approx(1 / row.estimate, rel=1e-5)
            assert other.p == pytest.approx(row.p, rel=1e-3)
            if row.low is not None:
                assert other.high == pytest.approx(1 / row.low, rel=1e-4)


class TestReasons:
    def test_a_covariate_that_repeats_the_phase(self) -> None:
        rows = rows_of(replace(times(), exog=exog_of(phase_of())))
        for name in ("ols", "newey_west", "glsar", "ar1_ml", "mixed"):
            assert rows[name].estimate is None
            assert "say the same thing twice" in str(rows[name].reason)
        assert rows["mann_whitney"].estimate is not None

    def test_nothing_counted_after_the_change(self) -> None:
        rows = rows_of(counts(np.array([3.0, 1, 2, 4, 0, 2, 5, 1] + [0.0] * 8)))
        for name in ("poisson", "quasi_poisson", "negative_binomial"):
            assert "nothing was counted after the change" in str(rows[name].reason)
        assert rows["ols"].estimate is not None

    def test_every_try_after_the_change_succeeded(self) -> None:
        rows = rows_of(successes(np.array([3.0, 4, 5, 4, 2, 6, 5, 4] + [8.0] * 8)))
        assert "every try after the change ended alike" in str(rows["binomial"].reason)

    def test_ratings_that_do_not_overlap(self) -> None:
        rows = rows_of(ratings(np.array([3.0, 4, 3, 4, 2, 3, 4, 3, 7, 8, 7, 8, 9, 8, 7, 8])))
        assert "do not overlap" in str(rows["ordered_logit"].reason)
        assert rows["ols"].estimate is not None

    def test_one_attempt_a_practice(self) -> None:
        assert "one attempt a practice" in str(rows_of(ratings())["mixed"].reason)

    def test_a_series_that_never_varies_has_no_interval(self) -> None:
        rows = rows_of(ratings(np.full(N, 7.0)))
        assert rows["ols"].estimate == pytest.approx(0, abs=1e-9)
        assert rows["ols"].low is None and "no interval" in str(rows["ols"].reason)
        assert rows["ordered_logit"].reason == "all ratings are equal"

    def test_counts_that_vary_no_more_than_chance_give_the_poisson_fit(self) -> None:
        rows = rows_of(counts(np.array([6.0, 5, 6, 7, 6, 5, 7, 6, 5, 6, 6, 7, 5, 6, 7, 6])))
        assert "alpha is 0" in rows["negative_binomial"].algorithm
        assert rows["negative_binomial"].estimate == pytest.approx(rows["poisson"].estimate)

    def test_too_few_practices(self) -> None:
        short = Tabled(kind="rating", response=np.array([5.0, 6, 7]), exog=exog_of(n=3), column=2)
        assert "too few for 3 coefficients" in str(rows_of(short)["ols"].reason)


def test_ar1_likelihood_top_is_the_librarys_too() -> None:
    """The one-dimensional search must land where the library's own search over all parameters lands."""
    from statsmodels.tsa.arima.model import ARIMA

    tabled = times(seed=9)
    fit = fit_ar1_ml(tabled.response, tabled.exog)
    theirs = ARIMA(tabled.response, exog=tabled.exog, order=(1, 0, 0), trend="n").fit(method_kwargs={"disp": 0})
    assert fit.numbers["log_likelihood"] >= theirs.llf - 1e-9
    assert fit.numbers["log_likelihood"] == pytest.approx(theirs.llf, abs=1e-3)
    assert fit.numbers["rho"] == pytest.approx(float(theirs.params[3]), abs=2e-2)
    assert fit.coefficients[2] == pytest.approx(float(theirs.params[2]), abs=2e-3)


@pytest.mark.parametrize("n", [10, 1500])
def test_short_and_long_series(n: int) -> None:
    draws = np.random.default_rng(n)
    count = draws.negative_binomial(3, 0.3, n).astype(np.float64)
    tabled = Tabled(
        kind="count", response=np.log(count + 0.5), exog=exog_of(n=n), column=2, count=count, exposure=np.ones(n)
    )
    rows = rows_of(tabled)
    for name in ALWAYS | HAVE["count"]:
        estimate = rows[name].estimate
        assert estimate is not None and math.isfinite(estimate)


def test_importing_the_table_loads_no_statistics_library() -> None:
    """Start-up: the heavy libraries come with the first fit, not with the import."""
    code = (
        "import sys, rampbook.estimators.usual_fits, rampbook.estimators.lots, rampbook.estimators.effect_sizes;"
        "print(sorted({'statsmodels', 'scipy', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
