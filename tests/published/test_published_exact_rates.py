"""The two exact tests under the watch for harm, against published figures and against scipy and statsmodels."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.rates import test_poisson_2indep as poisson_2indep

from rampbook.estimators.exact_tails import rank_tail, rate_tail


def test_two_rates_of_gu_and_others() -> None:
    """Gu, Ng, Tang and Schucany 2008, Biometrical Journal 50:283-298: 60 in 51477.5 against 30 in 54308.7."""
    tail = rate_tail(30, 60, 54308.7, 51477.5)
    assert tail.exact == pytest.approx(0.000428, abs=5e-7)
    assert tail.mid == pytest.approx(0.000310, abs=5e-7)


def test_two_rates_of_boice_and_monson() -> None:
    """Data of Boice and Monson 1977, one-sided mid-p as Rothman's text and an epidemiology manual have it (memory)."""
    assert rate_tail(15, 41, 19017, 28010).mid == pytest.approx(0.0177, abs=5e-5)


@pytest.mark.parametrize(
    ("before", "after", "old", "new"), [(1, 1, 5, 1), (7, 9, 8.5, 2.5), (40, 0, 3, 9), (3, 120, 9, 4)]
)
def test_two_rates_equal_the_libraries(before: int, after: int, old: float, new: float) -> None:
    tail = rate_tail(before, after, old, new)
    share = new / (old + new)
    assert tail.exact == pytest.approx(stats.binomtest(after, before + after, share, alternative="greater").pvalue)
    for method, mine in (("exact-cond", tail.exact), ("cond-midp", tail.mid)):
        theirs = poisson_2indep(after, new, before, old, method=method, alternative="larger").pvalue
        assert mine == pytest.approx(theirs, rel=1e-9)


def test_ranks_without_ties_equal_the_exact_mann_whitney_test() -> None:
    before, after = [3.1, 4.0, 4.4, 5.2, 6.3], [5.0, 6.1, 7.2, 7.9]
    theirs = stats.mannwhitneyu(after, before, alternative="greater", method="exact").pvalue
    assert rank_tail(before, after).exact == pytest.approx(theirs, rel=1e-12)


def test_ranks_with_ties_equal_counting_every_order() -> None:
    before, after = [3.0, 4, 4, 5, 6], [5.0, 6, 7, 7]
    theirs = stats.permutation_test(
        (np.array(after), np.array(before)),
        lambda x, y: stats.rankdata(np.concatenate([x, y]))[: len(x)].sum(),
        permutation_type="independent", alternative="greater", n_resamples=10_000,
    )  # fmt: skip
    assert rank_tail(before, after).exact == pytest.approx(theirs.pvalue, rel=1e-12)


def test_fifteen_and_fifteen_are_counted_in_full() -> None:
    """The largest watch: one way in 155,117,520 when every rating after is worse."""
    tail = rank_tail(list(range(15)), list(range(15, 30)))
    assert tail.exact == pytest.approx(1 / 155_117_520, rel=1e-12)
