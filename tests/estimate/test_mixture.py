"""Quantiles and p of mixtures of t distributions."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from rampbook.estimators.kernel import Floats
from rampbook.estimators.mixture import quantile, two_sided_p


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
