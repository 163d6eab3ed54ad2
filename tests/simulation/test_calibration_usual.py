"""The usual methods of the calibration study, many series at once, against the libraries one series at a time."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from scipy import optimize, stats
from scipy.linalg import toeplitz

from analyses.calibration.cells import cell_named
from analyses.calibration.linear import Floats, glsar, newey_west, ols, straight_design, t_test, t_test_of_groups
from analyses.calibration.plug_in import fit_plug_in
from analyses.calibration.regressions import binomial, negative_binomial, poisson
from analyses.calibration.simulate import Simulated, simulate
from analyses.calibration.truth import ATTEMPT_SD
from analyses.calibration.usual import difference, link_response, stacked, usual_p_values

N = 12
TIMES = ["time once-10 alone rho0.6 learning regular", "time drawn-20 compared rho0.3 steady break"]
COUNTS = ["count-2-0.3 once-16 alone rho0.3 learning break", "count-8-0.3 back-30 compared rho0.6 steady regular"]
SUCCESSES = ["success once-16 alone rho0.3 learning break", "success drawn-20 compared rho0.6 steady regular"]


def drawn(name: str) -> Simulated:
    cell = cell_named(name)
    return simulate(cell, N, cell.seed(5), effect=0.0)


def line(name: str) -> tuple[Floats, Floats]:
    simulated = drawn(name)
    return difference(simulated, link_response), straight_design(simulated.phase)


@pytest.mark.parametrize("name", TIMES)
def test_least_squares_is_the_librarys(name: str) -> None:
    from statsmodels.regression.linear_model import OLS

    response, design = line(name)
    fits = [OLS(y, x).fit() for y, x in zip(response, design, strict=True)]
    np.testing.assert_allclose(ols(response, design), [fit.pvalues[2] for fit in fits], rtol=1e-8)
    robust = [fit.get_robustcov_results("HAC", maxlags=2, use_correction=True, use_t=True).pvalues[2] for fit in fits]
    np.testing.assert_allclose(newey_west(response, design), robust, rtol=1e-8)


@pytest.mark.parametrize("name", TIMES)
def test_glsar_is_the_librarys(name: str) -> None:
    from statsmodels.regression.linear_model import GLSAR

    response, design = line(name)
    with warnings.catch_warnings():
        # The library warns that its own Yule-Walker call will return another type some day.
        warnings.simplefilter("ignore", FutureWarning)
        theirs = [GLSAR(y, x, 1).iterative_fit(maxiter=20).pvalues[2] for y, x in zip(response, design, strict=True)]
    np.testing.assert_allclose(glsar(response, design), theirs, rtol=1e-6)


@pytest.mark.parametrize("name", TIMES)
def test_plug_in_reml_is_gls_at_the_top_of_the_restricted_likelihood(name: str) -> None:
    from statsmodels.regression.linear_model import GLS

    def height(rho: float, y: Floats, x: Floats) -> float:
        v = toeplitz(rho ** np.arange(len(y)))
        fit = GLS(y, x, sigma=v).fit()
        rss = fit.scale * fit.df_resid
        parts = np.linalg.slogdet(v)[1], np.linalg.slogdet(x.T @ np.linalg.solve(v, x))[1]
        return float(0.5 * (sum(parts) + fit.df_resid * np.log(rss)))

    response, design = line(name)
    ours = fit_plug_in(response, design)
    for s, (y, x) in enumerate(zip(response, design, strict=True)):
        starts = np.linspace(-0.95, 0.95, 20)
        start = starts[int(np.argmin([height(rho, y, x) for rho in starts]))]
        ends = max(start - 0.1, -0.98), min(start + 0.1, 0.995)
        top = optimize.minimize_scalar(height, bounds=ends, args=(y, x), options={"xatol": 1e-9})
        # The top is flat: two searches agree in height far more closely than in place.
        assert height(ours.rho[s], y, x) <= top.fun + 1e-10
        assert ours.rho[s] == pytest.approx(top.x, abs=1e-5)
        fit = GLS(y, x, sigma=toeplitz(ours.rho[s] ** np.arange(len(y)))).fit()
        assert ours.effect[s] == pytest.approx(fit.params[2], rel=1e-8)
        assert ours.p()[s] == pytest.approx(fit.pvalues[2], rel=1e-8)


def test_t_tests_are_the_librarys_also_from_summaries() -> None:
    simulated = drawn(TIMES[0])
    rng = np.random.default_rng(1)
    means, within = np.empty_like(simulated.value), np.empty_like(simulated.value)
    theirs_attempts, theirs_means = [], []
    for s in range(N):
        attempts = [
            mean + ATTEMPT_SD * rng.normal(size=int(k))
            for mean, k in zip(simulated.value[s], simulated.size[s], strict=True)
        ]
        means[s] = [a.mean() for a in attempts]
        within[s] = [np.sum((a - a.mean()) ** 2) for a in attempts]
        new = simulated.phase[s] == 1
        old_and_new = [np.concatenate([attempts[t] for t in np.flatnonzero(new == side)]) for side in (False, True)]
        theirs_attempts.append(stats.ttest_ind(*old_and_new).pvalue)
        theirs_means.append(stats.ttest_ind(means[s][~new], means[s][new]).pvalue)
    np.testing.assert_allclose(t_test_of_groups(means, within, simulated.size, simulated.phase), theirs_attempts)
    np.testing.assert_allclose(t_test(means, simulated.phase), theirs_means)


@pytest.mark.parametrize("name", COUNTS)
def test_count_regressions_are_the_librarys(name: str) -> None:
    from statsmodels.genmod.families import Poisson
    from statsmodels.genmod.generalized_linear_model import GLM

    from rampbook.estimators.usual_fits.negative_binomial import fit_negative_binomial

    count, exposure, design, effect = stacked(drawn(name))
    plain = poisson(count, design, np.log(exposure), effect)
    spread = negative_binomial(count, design, np.log(exposure), effect)
    assert np.isfinite(plain).all() and np.isfinite(spread).all()
    for s in range(N):
        theirs = GLM(count[s], design[s], family=Poisson(), exposure=exposure[s]).fit(tol=1e-12)
        assert plain[s] == pytest.approx(theirs.pvalues[effect], rel=1e-6)
        # The library's optimiser, climbed until the slope is flat (tests/estimate holds that fit to published values).
        fit = fit_negative_binomial(count[s], design[s], exposure[s])
        z = fit.coefficients[effect] / fit.errors[effect]
        assert spread[s] == pytest.approx(2 * stats.norm.sf(abs(z)), rel=1e-6)


@pytest.mark.parametrize("name", SUCCESSES)
def test_logistic_regression_is_the_librarys(name: str) -> None:
    from statsmodels.genmod.families import Binomial
    from statsmodels.genmod.generalized_linear_model import GLM

    hits, tries, design, effect = stacked(drawn(name))
    ours = binomial(hits, tries, design, effect)
    for s in range(N):
        theirs = GLM(np.column_stack([hits[s], tries[s] - hits[s]]), design[s], family=Binomial()).fit(tol=1e-12)
        assert ours[s] == pytest.approx(theirs.pvalues[effect], rel=1e-6)


def test_a_regression_without_a_finite_answer_calls_nothing_an_effect() -> None:
    count = np.array([[3.0, 2, 4, 1, 3, 0, 0, 0, 0, 0]])
    design = straight_design(np.repeat([[0.0, 1.0]], 5, axis=1))
    assert np.isnan(poisson(count, design, np.zeros_like(count), 2)).all()
    assert np.isnan(negative_binomial(count, design, np.zeros_like(count), 2)).all()


def test_a_series_that_never_varies_has_no_p() -> None:
    flat = np.full((1, 10), 7.0)
    design = straight_design(np.repeat([[0.0, 1.0]], 5, axis=1))
    assert np.isnan(fit_plug_in(flat, design).p()).all()


def test_every_kind_is_judged_by_the_methods_that_apply_to_it() -> None:
    always = {"t_means", "ols", "newey_west", "glsar", "plug_in_reml"}
    assert set(usual_p_values(drawn(TIMES[0]))) == always | {"t_attempts"}
    assert set(usual_p_values(drawn(TIMES[1]))) == always
    assert set(usual_p_values(drawn(COUNTS[0]))) == always | {"poisson", "negative_binomial"}
    assert set(usual_p_values(drawn(SUCCESSES[0]))) == always | {"binomial"}
