"""How often a change that did nothing is called one, and how often the interval holds a true effect.

Drill times as log seconds: practices differ by 6% (correlated rho between neighbours), each is the mean of
five attempts that scatter by 8%, and learning takes 1% off at each practice. The seeds are fixed. With N series
a cell the Monte-Carlo standard error of a share of 5% is sqrt(0.05 * 0.95 / N): 0.63 points at N = 1,200. A
cell fails above 6.5% plus two of them (7.8%), or below 2% less two of them, where an estimator seems honest by
saying nothing.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from rampbook.estimators.batch import Batch, BatchEstimate, batch_design, estimate_batch
from rampbook.estimators.kernel import Floats
from rampbook.estimators.marginal import estimate_effect
from rampbook.estimators.model import Model

pytestmark = pytest.mark.slow

N_SERIES = 1200
ALPHA = 0.05
MONTE_CARLO_SE = float(np.sqrt(ALPHA * (1 - ALPHA) / N_SERIES))
PRACTICE_SD, ATTEMPT_SD, N_ATTEMPTS, LEARNING = 0.06, 0.08, 5, -0.01
TRUE_EFFECT = float(np.log(0.88))

DESIGNS = {
    "one change, 8 and 8": np.repeat([0.0, 1.0], 8),
    "one change, 15 and 15": np.repeat([0.0, 1.0], 15),
    "alternating, 8 and 8": np.tile([0.0, 1.0], 8),
    "there and back twice, 15 and 15": np.repeat([0.0, 1.0, 0.0, 1.0], [8, 8, 7, 7]),
}
RHOS = (0.0, 0.3, 0.6)
CELLS = [(name, rho) for name in DESIGNS for rho in RHOS]


def attempts_of(phase: Floats, rho: float, effect: float, seed: int) -> Floats:
    """Log seconds of every attempt, (series, practice, attempt)."""
    rng = np.random.default_rng(seed)
    n = phase.size
    shock = rng.normal(size=(N_SERIES, n))
    shared = np.empty((N_SERIES, n))
    shared[:, 0] = shock[:, 0]
    for t in range(1, n):
        shared[:, t] = rho * shared[:, t - 1] + np.sqrt(1 - rho**2) * shock[:, t]
    mean = 3.4 + LEARNING * np.arange(n) + effect * phase + PRACTICE_SD * shared
    return mean[..., None] + ATTEMPT_SD * rng.normal(size=(N_SERIES, n, N_ATTEMPTS))


def judged(means: Floats, phase: Floats) -> BatchEstimate:
    """Estimate every series from its practice means, each of the same number of attempts."""
    ones = np.ones_like(means)
    batch = Batch(kind_name="time", value=means, size=ones, phase=np.broadcast_to(phase, means.shape), gaps=ones)
    return estimate_batch(batch, confidence=1 - ALPHA)


def seed_of(name: str, rho: float) -> int:
    return 1000 + 10 * list(DESIGNS).index(name) + RHOS.index(rho)


@pytest.mark.parametrize(("name", "rho"), CELLS)
def test_a_change_that_did_nothing_is_seldom_called_one(name: str, rho: float) -> None:
    phase = DESIGNS[name]
    found = judged(attempts_of(phase, rho, 0.0, seed_of(name, rho)).mean(axis=2), phase)
    share = float(np.mean(found.p < ALPHA))
    assert 0.02 - 2 * MONTE_CARLO_SE <= share <= 0.065 + 2 * MONTE_CARLO_SE


@pytest.mark.parametrize("name", list(DESIGNS))
def test_the_interval_holds_a_true_effect_and_the_estimate_is_not_biased(name: str) -> None:
    """At autocorrelation 0.3; the mirror of the false alarms, with a real effect and the interval's own ends."""
    phase, rho = DESIGNS[name], 0.3
    means = attempts_of(phase, rho, TRUE_EFFECT, 500 + seed_of(name, rho)).mean(axis=2)
    found = judged(means, phase)
    error = found.effect - TRUE_EFFECT
    assert abs(error.mean()) < 4 * error.std() / np.sqrt(N_SERIES)
    held = float(np.mean((found.low <= TRUE_EFFECT) & (found.high >= TRUE_EFFECT)))
    assert 0.935 - 2 * MONTE_CARLO_SE <= held <= 0.985 + 2 * MONTE_CARLO_SE
    np.testing.assert_array_equal((found.low > 0) | (found.high < 0), found.p < ALPHA)


@pytest.mark.parametrize("rho", RHOS)
@pytest.mark.parametrize("name", ["one change, 8 and 8", "one change, 15 and 15"])
def test_the_ordinary_t_test_calls_learning_a_change(name: str, rho: float) -> None:
    """The same do-nothing series: a t-test of all attempts calls more than half of them an effect."""
    phase = DESIGNS[name]
    attempts = attempts_of(phase, rho, 0.0, seed_of(name, rho))
    before, after = (attempts[:, phase == value].reshape(N_SERIES, -1) for value in (0, 1))
    assert float(np.mean(stats.ttest_ind(before, after, axis=1).pvalue < ALPHA)) > 0.5
    means = attempts.mean(axis=2)
    of_means = stats.ttest_ind(means[:, phase == 0], means[:, phase == 1], axis=1).pvalue
    assert float(np.mean(of_means < ALPHA)) > 0.2


def test_a_true_effect_is_found_far_more_often_when_settings_alternate() -> None:
    """A drill made 12% faster, 16 practices: the design matters more than the model."""
    shares = {}
    for name in ("one change, 8 and 8", "alternating, 8 and 8"):
        phase = DESIGNS[name]
        means = attempts_of(phase, 0.3, TRUE_EFFECT, 77).mean(axis=2)
        shares[name] = float(np.mean(judged(means, phase).p < ALPHA))
    assert shares["alternating, 8 and 8"] > 0.9
    assert 0.1 < shares["one change, 8 and 8"] < 0.5


@pytest.mark.parametrize("name", list(DESIGNS))
def test_the_batch_says_what_the_single_estimate_says(name: str) -> None:
    phase = DESIGNS[name]
    means = attempts_of(phase, 0.3, 0.0, 3).mean(axis=2)
    found = judged(means, phase)
    ones = np.ones(phase.size)
    design = batch_design(np.broadcast_to(phase, means.shape), trend=True)
    for s in range(5):
        model = Model(
            response=means[s], design=design[s], names=("level", "trend", "effect"),
            gaps=ones, noise=ones, half_counts=False, main_response=means[s],
        )
        alone = estimate_effect(model, "time", confidence=1 - ALPHA)
        expected = (found.effect[s], found.low[s], found.high[s], found.p[s])
        assert (alone.effect, alone.low, alone.high, alone.p) == pytest.approx(expected, rel=1e-8)
