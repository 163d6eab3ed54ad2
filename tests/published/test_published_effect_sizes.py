"""Effect sizes, noise, E-values and adjusted p values against published figures and closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from rampbook.estimators.e_value import e_value
from rampbook.estimators.effect_sizes import (
    effect_sizes,
    log_response_ratio,
    overlap,
    small_sample_factor,
    standardised_differences,
)
from rampbook.estimators.many import benjamini_hochberg, holm
from rampbook.estimators.noise import (
    intraclass_correlations,
    limits_of_agreement,
    mean_squares,
    smallest_real_change,
    typical_error,
    within_sd,
)


def values_with(mean: float, sd: float, n: int) -> NDArray[np.float64]:
    """Values whose sample mean and standard deviation are exactly as asked."""
    raw = np.linspace(-1, 1, n)
    return np.asarray(mean + sd * (raw - raw.mean()) / np.std(raw, ddof=1))


BEFORE, AFTER = values_with(20, 4, 8), values_with(24, 5, 10)


@pytest.mark.parametrize(("degrees", "exact"), [(2, 0.5642), (4, 0.7979), (10, 0.9227), (20, 0.9619)])
def test_small_sample_factor_is_the_exact_one(degrees: int, exact: float) -> None:
    """Hedges 1981, J Educ Stat 6:107-128 (closed form); the usual approximation differs in the third digit."""
    assert small_sample_factor(degrees) == pytest.approx(exact, abs=5e-5)
    assert abs(1 - 3 / (4 * degrees - 1) - exact) > 5e-5


def test_log_response_ratio_variance_and_correction() -> None:
    """Hedges, Gurevitch & Curtis 1999, Ecology 80; Lajeunesse 2015 (formulae from memory; values by R metafor)."""
    sizes = log_response_ratio(BEFORE, AFTER)
    error = sizes["log_response_ratio_se"]
    assert sizes["log_response_ratio"] == pytest.approx(0.182321557, abs=5e-10)
    assert error is not None and error**2 == pytest.approx(0.009340278, abs=5e-10)
    assert sizes["log_response_ratio_corrected"] == pytest.approx(0.181991696, abs=5e-10)


def test_standardised_differences_and_their_variances() -> None:
    """Hedges 1981; Glass 1976 (values by R metafor, which uses the exact factor)."""
    sizes = standardised_differences(BEFORE, AFTER)
    assert sizes["standardised_difference"] == pytest.approx(0.8299611, abs=5e-8)
    assert sizes["standardised_difference_variance"] == pytest.approx(0.24413, abs=5e-6)
    assert sizes["glass_difference"] == pytest.approx(0.8882029, abs=5e-8)
    assert sizes["glass_difference_variance"] == pytest.approx(0.27431, abs=5e-6)


def test_overlap_counts_kendalls_s() -> None:
    """Hollander & Wolfe 1973, p. 185 f. (from memory): tau .4444 of nine pairs, S 16 of 36.

    The trend before a change is Kendall's S of the values against their order.
    """
    x = np.array([44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1])
    y = np.array([2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8])
    trend = overlap(y[np.argsort(x)], np.array([1.0]), better="higher")["tau_trend_s"]
    assert trend is not None and trend / 36 == pytest.approx(0.4444, abs=5e-5)


class TestOverlapRules:
    def test_ties_count_half(self) -> None:
        sizes = effect_sizes(np.array([1.0, 2.0]), np.array([2.0, 3.0]), better="higher")
        assert (sizes["nap"], sizes["tau"]) == (3.5 / 4, 3 / 4)

    def test_lower_is_better_is_flipped_before_counting(self) -> None:
        faster = effect_sizes(np.array([9.0, 8.5, 9.5]), np.array([8.0, 7.5]), better="lower")
        assert (faster["nap"], faster["tau"]) == (1.0, 1.0)
        slower = effect_sizes(np.array([9.0, 8.5, 9.5]), np.array([8.0, 7.5]), better="higher")
        assert (slower["nap"], slower["tau"]) == (0.0, -1.0)

    def test_an_improving_trend_before_is_taken_off(self) -> None:
        sizes = effect_sizes(np.array([5.0, 4.0, 3.0]), np.array([2.0, 1.0]), better="lower")
        assert (sizes["tau_s"], sizes["tau_trend_s"], sizes["tau_pairs"]) == (6.0, 3.0, 6.0)
        assert sizes["tau_trend_corrected"] == (6 - 3) / 6

    def test_what_is_not_defined_is_none(self) -> None:
        assert set(effect_sizes(np.array([]), np.array([1.0]), better="lower").values()) == {None}
        flat = effect_sizes(np.array([0.0, 0.0, 0.0]), np.array([0.0, 0.0]), better="lower")
        assert flat["log_response_ratio"] is None and flat["standardised_difference"] is None
        assert flat["nap"] == 0.5


class TestEValue:
    """VanderWeele & Ding 2017, Ann Intern Med 167:268-274 (from memory)."""

    def test_ratio_and_interval(self) -> None:
        found = e_value(3.9, 1.8, 8.7)
        assert (found.point, found.limit) == pytest.approx((7.26, 3.0), abs=5e-3)

    def test_ratio_below_one_is_turned_over(self) -> None:
        assert e_value(0.8).point == pytest.approx(1.81, abs=5e-3)
        assert e_value(0.8).limit is None
        turned = e_value(1 / 3.9, 1 / 8.7, 1 / 1.8)
        assert (turned.point, turned.limit) == pytest.approx((7.26, 3.0), abs=5e-3)

    def test_interval_that_includes_one(self) -> None:
        assert e_value(0.8, 0.5, 1.3).limit == 1.0

    def test_odds_ratio_of_a_common_outcome_by_its_square_root(self) -> None:
        assert e_value(3.9**2, 1.8**2, 8.7**2, ratio_of="odds").point == pytest.approx(7.26, abs=5e-3)


THROMBOLYSIS = (
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240,
    0.4262, 0.5719, 0.6528, 0.7590, 1.0,
)  # fmt: skip


class TestManyComparisons:
    """Benjamini & Hochberg 1995, JRSS B 57:289-300, section 4; Holm 1979 (from memory)."""

    def test_benjamini_hochberg(self) -> None:
        adjusted = benjamini_hochberg(THROMBOLYSIS)
        assert adjusted[:5] == pytest.approx([0.0015, 0.0030, 0.0095, 0.0356, 0.0603], abs=5e-5)
        assert sum(p is not None and p <= 0.05 for p in adjusted) == 4

    def test_holm(self) -> None:
        adjusted = holm(THROMBOLYSIS)
        assert adjusted[:4] == pytest.approx([0.0015, 0.0056, 0.0247, 0.1140], abs=5e-5)
        assert sum(p is not None and p <= 0.05 for p in adjusted) == 3

    def test_a_comparison_without_p_does_not_count(self) -> None:
        assert holm([0.01, None, 0.04]) == pytest.approx([0.02, None, 0.04])
        assert benjamini_hochberg([None]) == [None]


SHROUT_FLEISS = np.array(
    [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]], dtype=np.float64
)


def test_six_intraclass_correlations() -> None:
    """Shrout & Fleiss 1979, Psychol Bull 86, Tables 2-4 (from memory)."""
    squares = mean_squares(SHROUT_FLEISS)
    found = (squares.between, squares.judges, squares.within, squares.error)
    assert found == pytest.approx((11.24, 32.49, 6.26, 1.02), abs=5e-3)
    printed = {"icc_1_1": 0.17, "icc_2_1": 0.29, "icc_3_1": 0.71, "icc_1_k": 0.44, "icc_2_k": 0.62, "icc_3_k": 0.91}
    assert intraclass_correlations(SHROUT_FLEISS) == pytest.approx(printed, abs=5e-3)


def test_typical_error_and_smallest_real_change() -> None:
    """Weir 2005, J Strength Cond Res 19:231-240, trial A (data from memory); Hopkins 2000, Sports Med 30."""
    first = np.array([146, 148, 170, 90, 157, 156, 176, 205], dtype=np.float64)
    second = np.array([140, 152, 152, 99, 145, 153, 167, 218], dtype=np.float64)
    error = typical_error(first, second)
    assert error == pytest.approx(7.56, abs=5e-3)
    assert mean_squares(np.column_stack([first, second])).error == pytest.approx(57.1, abs=5e-2)
    assert intraclass_correlations(np.column_stack([first, second]))["icc_2_1"] == pytest.approx(0.95, abs=5e-3)
    assert smallest_real_change(error) == pytest.approx(20.95, abs=5e-3)


PEFR = {
    "wright_1": "494 395 516 434 476 557 413 442 650 433 417 656 267 478 178 423 427",
    "wright_2": "490 397 512 401 470 611 415 431 638 429 420 633 275 492 165 372 421",
    "mini_1": "512 430 520 428 500 600 364 380 658 445 432 626 260 477 259 350 451",
    "mini_2": "525 415 508 444 500 625 460 390 642 432 420 605 227 467 268 370 443",
}


def test_limits_of_agreement_and_repeatability() -> None:
    """Bland & Altman 1986, Lancet i:307-310; 1999, Stat Methods Med Res 8 (from memory; SD rounded before doubling)."""
    read = {name: np.array(text.split(), dtype=np.float64) for name, text in PEFR.items()}
    agreement = limits_of_agreement(read["wright_1"], read["mini_1"], multiple=2)
    assert agreement.mean_difference == pytest.approx(-2.1, abs=0.05)
    assert agreement.sd_difference == pytest.approx(38.8, abs=0.05)
    assert (agreement.low, agreement.high) == pytest.approx((-79.7, 75.5), abs=0.1)
    assert within_sd(read["wright_1"], read["wright_2"]) == pytest.approx(15.3, abs=0.05)
    assert within_sd(read["mini_1"], read["mini_2"]) == pytest.approx(19.9, abs=0.05)
    assert math.sqrt(2) * within_sd(read["wright_1"], read["wright_2"]) == pytest.approx(21.6, abs=0.1)
    assert math.sqrt(2) * within_sd(read["mini_1"], read["mini_2"]) == pytest.approx(28.2, abs=0.1)
