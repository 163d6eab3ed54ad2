"""Quantiles and p of mixtures of t distributions."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special, stats

from rampbook.estimators.kernel import Floats
from rampbook.estimators.mixture import centre, quantile, stretched, t_cdf, t_density, two_sided_p


def one(value: float) -> Floats:
    return np.array([[value]])


@pytest.mark.parametrize("df", [2, 5, 13, 200])
@pytest.mark.parametrize("probability", [0.005, 0.025, 0.5, 0.9, 0.975])
def test_one_component_is_the_plain_t(df: int, probability: float) -> None:
    got = quantile(np.array([probability]), one(0.4), one(0.17), one(1.0), df)
    assert got[0] == pytest.approx(stats.t.ppf(probability, df, loc=0.4, scale=0.17), rel=1e-10, abs=1e-12)


@pytest.mark.parametrize("beta", [-3.0, -0.2, 0.0, 0.7, 9.0])
def test_p_of_one_component_is_the_plain_two_sided_t(beta: float) -> None:
    assert two_sided_p(one(beta), one(0.5), one(1.0), 6)[0] == pytest.approx(
        2 * stats.t.sf(abs(beta) / 0.5, 6), rel=1e-10
    )


components = st.lists(
    st.tuples(st.floats(-2, 2), st.floats(0.05, 2), st.floats(0.01, 1)), min_size=1, max_size=12
)


@settings(max_examples=150, deadline=None)
@given(parts=components, alpha=st.floats(0.001, 0.4), df=st.integers(2, 60))
def test_each_end_of_the_interval_when_tested_gives_alpha(
    parts: list[tuple[float, float, float]], alpha: float, df: int
) -> None:
    """p and interval never contradict each other, also where components stand on both sides of the value tested."""
    beta, se, weight = (np.array([column]) for column in zip(*parts, strict=True))
    weight = weight / weight.sum()
    for probability in (alpha / 2, 1 - alpha / 2):
        end = quantile(np.array([probability]), beta, se, weight, df)[0]
        assert two_sided_p(beta - end, se, weight, df)[0] == pytest.approx(alpha, rel=1e-6)


@settings(max_examples=100, deadline=None)
@given(parts=components, probability=st.floats(0.001, 0.999))
def test_the_quantile_inverts_the_mixture(parts: list[tuple[float, float, float]], probability: float) -> None:
    beta, se, weight = (np.array([column]) for column in zip(*parts, strict=True))
    weight = weight / weight.sum()
    end = quantile(np.array([probability]), beta, se, weight, 9)[0]
    assert float(np.sum(weight * stats.t.cdf((end - beta) / se, 9))) == pytest.approx(probability, abs=1e-9)


def test_components_that_disagree_in_sign_show_no_effect() -> None:
    """Two sharp components at -1 and +1: half the mixture lies on either side, so p is 1, not 0."""
    beta, se, weight = np.array([[-1.0, 1.0]]), np.array([[0.01, 0.01]]), np.array([[0.5, 0.5]])
    assert two_sided_p(beta, se, weight, 20)[0] == pytest.approx(1.0)


def test_a_tiny_p_keeps_its_digits() -> None:
    got = two_sided_p(np.array([[5.0, 5.1]]), np.array([[0.1, 0.1]]), np.array([[0.5, 0.5]]), 40)[0]
    expected = stats.t.sf(50, 40) + stats.t.sf(51, 40)
    assert got == pytest.approx(expected, rel=1e-9)
    assert 0 < got < 1e-35


@pytest.mark.parametrize("df", [1, 2, 3, 4, 7, 13, 26, 37, 150, 601])
def test_the_closed_form_is_the_distribution_function_of_t(df: int) -> None:
    """Against scipy's, which inverts nothing and knows no parity; and the density against scipy's."""
    t = np.concatenate([np.linspace(-12, 12, 501), [-1e3, 1e3, 0.0]])
    np.testing.assert_allclose(t_cdf(t, df), special.stdtr(df, t), rtol=0, atol=3e-15)
    np.testing.assert_allclose(t_density(t, df), stats.t.pdf(t, df), rtol=1e-11)


def test_published_points_of_t() -> None:
    """Two-sided 5% points of Fisher & Yates 1963, Statistical Tables, Table III (from memory): 12.706, 2.365, 2.042."""
    for df, point in ((1, 12.706), (7, 2.365), (30, 2.042)):
        assert t_cdf(np.array([point]), df)[0] == pytest.approx(0.975, abs=2e-5)


def test_stretching_keeps_the_centre_and_widens_every_interval_by_the_factor() -> None:
    rng = np.random.default_rng(4)
    beta, se = rng.normal(size=(3, 9)), rng.uniform(0.1, 1, (3, 9))
    weight = rng.dirichlet(np.ones(9), 3)
    factor = np.array([0.9, 1.0, 1.4])
    wider = stretched(beta, se, weight, factor)
    middle = centre(beta, weight)
    np.testing.assert_allclose(centre(wider[0], weight), middle, atol=1e-14)
    for q in (0.025, 0.9):
        plain, far = (quantile(np.full(3, q), *parts, weight, 11) for parts in ((beta, se), wider))
        np.testing.assert_allclose(far - middle, factor * (plain - middle), rtol=1e-9)
