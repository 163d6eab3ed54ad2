"""Randomisation tests against published enumerations."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from rampbook.errors import DesignError
from rampbook.estimators.lots import count_moments, randomisation_test, sign_flip_test
from rampbook.estimators.usual_fits.ranks import rank_row

Example = Callable[[str, str], Any]


def test_darwins_maize(example: Example) -> None:
    """Fisher 1935, The Design of Experiments, section 21 (from memory): 863 of 32,768 as high, two-sided 1726."""
    test = sign_flip_test(example("HistData", "ZeaMays")["diff"].to_numpy(float))
    assert test.difference * 15 * 8 == pytest.approx(314)
    assert (test.n_lots, test.n_as_high, test.n_as_far) == (32768, 863, 1726)
    assert test.p == pytest.approx(0.0526733, abs=5e-8)


def test_tomatoes_in_time_order() -> None:
    """Box, Hunter & Hunter 1978, Statistics for Experimenters, ch. 3 (data and result from memory)."""
    grown = np.array([29.9, 11.4, 26.6, 23.7, 25.3, 28.5, 14.2, 17.9, 16.5, 21.1, 24.3])
    order = np.array([0, 0, 1, 1, 0, 1, 1, 1, 0, 0, 1])
    everything = randomisation_test(grown, order, lots=all_orders(11, 6))
    assert everything.difference == pytest.approx(1.6933, abs=5e-5)
    assert (everything.n_lots, everything.n_as_high) == (462, 154)
    # Phases of one practice occur, so the same set of orders is found from the shape of the series.
    assert randomisation_test(grown, order).p == everything.p


def all_orders(n: int, new: int) -> np.ndarray[Any, np.dtype[np.int64]]:
    from itertools import combinations

    orders = np.zeros((0, n), dtype=np.int64)
    rows = [[int(place in chosen) for place in range(n)] for chosen in combinations(range(n), new)]
    return np.vstack([orders, np.array(rows, dtype=np.int64)])


def test_shoe_soles(example: Example) -> None:
    """Box, Hunter & Hunter 1978; Venables & Ripley 2002, section 5.7 (from memory): 3 greater, 4 equal of 1,024."""
    shoes = example("MASS", "shoes")
    test = sign_flip_test((shoes["B"] - shoes["A"]).to_numpy(float))
    assert test.difference == pytest.approx(0.41)
    assert (test.n_lots, test.n_as_high, test.n_as_far) == (1024, 7, 14)


def test_sleep_drugs(example: Example) -> None:
    """Student 1908 (from memory): two-sided 4 of 1,024."""
    sleep = example("datasets", "sleep").sort_values(["group", "ID"])
    extra = sleep["extra"].to_numpy(float)
    test = sign_flip_test(extra[:10] - extra[10:])
    assert (test.n_as_far, test.p) == (4, 4 / 1024)


class TestNumberOfLots:
    """Onghena 1992, Behav Assess 14:153-171; Edgington & Onghena 2007 (closed form; attribution from memory)."""

    def test_closed_forms(self) -> None:
        assert count_moments(24, 4, 4) == 165
        assert count_moments(20, 2, 5) == 11

    @pytest.mark.parametrize(
        ("lengths", "n_lots", "drawn"),
        [
            ((4, 8, 6, 6), 165, "the moment of change"),
            ((9, 11), 11, "the moment of change"),
            ((1,) * 10, 252, "the order of settings"),
        ],
        ids=["there and back twice", "one moment", "alternating"],
    )
    def test_orders_gone_through(self, lengths: tuple[int, ...], n_lots: int, drawn: str) -> None:
        phase = np.repeat(np.arange(len(lengths)) % 2, lengths)
        test = randomisation_test(np.random.default_rng(5).normal(size=len(phase)), phase)
        assert (test.n_lots, test.n_gone_through) == (n_lots, n_lots)
        assert test.smallest_p == 1 / n_lots
        assert f"the smallest possible p is {1 / n_lots:.4g}" in test.algorithm
        assert f"counts only if {drawn} was drawn by lot" in test.algorithm

    def test_a_mirrored_order_among_the_lots_doubles_the_smallest_two_sided_p(self) -> None:
        """Closed form: turning every setting round gives the same distance from 0."""
        values = np.random.default_rng(9).normal(size=10)
        alternating = randomisation_test(values, np.arange(10) % 2)
        assert alternating.smallest_two_sided_p == 2 / 252
        assert "(0.007937 two-sided: the mirrored order is always as far)" in alternating.algorithm
        one_change = randomisation_test(np.tile(values, 2), np.repeat([0, 1], 10))
        assert one_change.smallest_two_sided_p == one_change.smallest_p == 1 / 11
        assert "two-sided:" not in one_change.algorithm


@pytest.mark.slow
def test_valid_whatever_the_serial_dependence() -> None:
    """Theory (closed form): with 11 start points drawn by lot, P(p <= 1/11) is 1/11 even for a random walk."""
    draws = np.random.default_rng(7)
    runs, first, second = 4000, 0, 0
    for _ in range(runs):
        walk = np.cumsum(draws.normal(size=20))
        p = randomisation_test(walk, (np.arange(20) >= draws.integers(5, 16)).astype(np.int64)).p
        first += p <= 1 / 11 + 1e-9
        second += p <= 2 / 11 + 1e-9
    # Three standard errors of the simulation: .0136 and .0183.
    assert first / runs == pytest.approx(1 / 11, abs=0.0137)
    assert second / runs == pytest.approx(2 / 11, abs=0.0184)


class TestRules:
    def test_a_drawing_agrees_with_the_whole_within_its_error(self) -> None:
        phase = np.array([0, 1] * 7)
        values = np.random.default_rng(3).normal(size=14) + 0.9 * phase
        whole, drawn = randomisation_test(values, phase), randomisation_test(values, phase, most=2000)
        assert whole.monte_carlo_error == 0 and drawn.n_gone_through == 2000
        assert drawn.p == pytest.approx(whole.p, abs=4 * drawn.monte_carlo_error + 1 / 2001)
        assert f"p good to {drawn.monte_carlo_error:.2g}" in drawn.algorithm

    def test_drawn_moments_agree_with_all_moments(self) -> None:
        phase = np.repeat([0, 1, 0, 1], 8)
        values = np.random.default_rng(4).normal(size=32) + 0.5 * phase
        whole, drawn = randomisation_test(values, phase), randomisation_test(values, phase, most=400)
        assert whole.n_lots == count_moments(32, 4, 5) == 455
        assert drawn.p == pytest.approx(whole.p, abs=4 * drawn.monte_carlo_error + 1 / 401)

    def test_drawn_signs_agree_with_all_signs(self) -> None:
        differences = np.random.default_rng(6).normal(0.4, 1, 14)
        whole, drawn = sign_flip_test(differences), sign_flip_test(differences, most=5000)
        assert drawn.p == pytest.approx(whole.p, abs=4 * drawn.monte_carlo_error + 1 / 5001)

    def test_the_same_seed_gives_the_same_drawing(self) -> None:
        phase = np.array([0, 1] * 12)
        values = np.random.default_rng(8).normal(size=24)
        assert randomisation_test(values, phase) == randomisation_test(values, phase)

    def test_given_lots_are_the_only_ones(self) -> None:
        phase = np.repeat([0, 1], [6, 6])
        lots = np.array([phase, 1 - phase, np.repeat([0, 1], [4, 8])])
        values = np.array([1.0] * 6 + [3.0] * 6)
        test = randomisation_test(values, phase, lots=lots)
        assert (test.difference, test.n_lots, test.n_as_far, test.p) == (2.0, 3, 2, 2 / 3)

    def test_an_order_that_could_not_have_been_drawn_is_refused(self) -> None:
        phase = np.repeat([0, 1], [6, 6])
        with pytest.raises(DesignError, match="not among those that could be drawn"):
            randomisation_test(np.arange(12.0), phase, lots=1 - phase[None, :])

    def test_one_setting_only_is_refused(self) -> None:
        with pytest.raises(DesignError, match="only one setting was practised"):
            randomisation_test(np.arange(5.0), np.zeros(5, dtype=np.int64))


class TestRanks:
    def test_permeability(self) -> None:
        """Hollander & Wolfe 1973, p. 69 f. (data from memory); p, shift and interval by R 4.2.2 wilcox.test."""
        term = np.array([0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46])
        early = np.array([1.15, 0.88, 0.90, 0.74, 1.21])
        row = rank_row("mann_whitney", early, term, ratio=False)
        assert row.p == pytest.approx(0.2544123, abs=5e-8)
        assert (row.estimate, row.low, row.high) == pytest.approx((0.305, -0.15, 0.76), abs=1e-9)

    def test_ties_by_the_normal_approximation(self, example: Example) -> None:
        """R 4.2.2 wilcox.test of Student's sleep data, 1908; R's shift and interval are roots, good to 1e-4 of ours."""
        sleep = example("datasets", "sleep")
        extra, group = sleep["extra"].to_numpy(float), sleep["group"].to_numpy(int)
        row = rank_row("mann_whitney", extra[group == 2], extra[group == 1], ratio=False)
        assert row.p == pytest.approx(0.069328, abs=5e-7)
        assert (row.low, row.high) == pytest.approx((-3.59994709, 0.09995356), abs=1e-4)
