"""The simulated series of the calibration study hold what their cell states."""

from __future__ import annotations

import math

import numpy as np
import pytest

from analyses.calibration.cells import all_cells, cell_named, cells_like
from analyses.calibration.designs import BREAK_DAYS, DESIGNS, gap_correlation, practice_gaps
from analyses.calibration.simulate import practice_effects, simulate
from analyses.calibration.truth import (
    ATTEMPT_SD,
    PRACTICE_SD,
    SHARED,
    SUCCESS_SD,
    latent_mean,
    marginal_effect,
    stated_effect,
    true_effect,
)

N = 6000


def test_the_grid_holds_every_combination_once() -> None:
    cells = all_cells()
    assert len({cell.name for cell in cells}) == len(cells) == 8 * 2 * 2 * 2 * (3 * 3 + 3 * (1 + 3))
    assert [cell.place for cell in cells] == list(range(len(cells)))


def test_a_cell_has_the_same_seed_whichever_cells_are_run() -> None:
    alone = cells_like("rating once-16 alone rho0.3 steady regular")[0]
    assert alone.seed(1).generate_state(2).tolist() == all_cells()[alone.place].seed(1).generate_state(2).tolist()
    assert alone.seed(1).generate_state(2).tolist() != alone.seed(2).generate_state(2).tolist()


@pytest.mark.parametrize("name", list(DESIGNS))
def test_every_design_has_five_practices_with_each_setting(name: str) -> None:
    phase = DESIGNS[name].phases(200, np.random.default_rng(1))
    assert phase.shape == (200, DESIGNS[name].n)
    assert (phase.sum(axis=1) >= 5).all() and ((1 - phase).sum(axis=1) >= 5).all()


def test_a_drawn_start_uses_every_place_that_is_allowed() -> None:
    phase = DESIGNS["drawn-20"].phases(N, np.random.default_rng(1))
    assert set((1 - phase).sum(axis=1)) == set(range(5, 16))


def test_gaps_are_typical_ones_with_three_weeks_in_the_middle() -> None:
    gaps = practice_gaps(500, 16, irregular=True, rng=np.random.default_rng(1))
    np.testing.assert_allclose(np.median(gaps[:, 1:], axis=1), 1.0)
    assert (gaps[:, 0] == 1).all() and (np.argmax(gaps[:, 1:], axis=1) == 7).all()
    days = gaps * (BREAK_DAYS / gaps[:, 8:9])
    assert days[:, 1:].min() >= 2 - 1e-9 and np.delete(days, (0, 8), axis=1).max() <= 9 + 1e-9


def test_practice_effects_weaken_with_the_time_between() -> None:
    gaps = np.tile([1.0, 1.0, 0.5, 3.0, 1.0], (40_000, 1))
    effects = practice_effects(0.6, gaps, np.random.default_rng(2))
    np.testing.assert_allclose(np.cov(effects.T), gap_correlation(0.6, gaps[:1])[0], atol=0.025)


@pytest.mark.parametrize("mean", [1, 2, 8])
@pytest.mark.parametrize("dispersion", [0.0, 0.3])
def test_counts_have_the_stated_mean_and_variance(mean: int, dispersion: float) -> None:
    cell = cell_named(f"count-{mean}-{dispersion:g} back-16 alone rho0 steady regular")
    simulated = simulate(cell, N, cell.seed(1), effect=0.0)
    expected = mean * simulated.size
    excess = np.mean((simulated.value - expected) ** 2 - simulated.value) / np.mean(expected**2)
    assert np.mean(simulated.value / simulated.size) == pytest.approx(mean, rel=0.02)
    assert excess == pytest.approx(dispersion, abs=0.03)


@pytest.mark.parametrize("kind", ["time", "rating", "success", "count-8-0.3"])
def test_the_effect_in_the_series_is_the_true_one(kind: str) -> None:
    """The mean of what is seen, with the effect and without, at the same seed."""
    cell = cell_named(f"{kind} alternating-16 alone rho0.3 learning break")
    effect = stated_effect(cell)
    nothing, something = (simulate(cell, N, cell.seed(6), effect=truth) for truth in (0.0, effect))
    new = nothing.phase == 1
    if kind in ("time", "rating"):
        seen = np.mean(something.value[new] - nothing.value[new])
    elif kind == "success":
        shares = [np.sum(one.value[new]) / np.sum(one.size[new]) for one in (something, nothing)]
        odds = [share / (1 - share) for share in shares]
        seen = math.log(odds[0] / odds[1])
    else:
        seen = math.log(np.sum(something.value[new]) / np.sum(nothing.value[new]))
    assert seen == pytest.approx(marginal_effect(cell), rel=0.03)
    np.testing.assert_array_equal(nothing.size, something.size)


def test_the_true_effect_is_the_stated_one_save_where_the_ceiling_bites() -> None:
    for kind in ("time", "success", "count-1-0.3"):
        cell = cell_named(f"{kind} once-16 alone rho0.3 steady regular")
        assert true_effect(cell) == stated_effect(cell)
    rating = cell_named("rating once-16 alone rho0.3 steady regular")
    assert 1.2 < true_effect(rating) < 1.45 < stated_effect(rating)


def test_marginal_odds_are_nearer_one_as_the_usual_approximation_has_it() -> None:
    """Zeger, Liang & Albert 1988, Biometrics 44: divided by root (1 + 0.346 variance) (from memory)."""
    cell = cell_named("success once-16 alone rho0.3 steady regular")
    assert marginal_effect(cell) == pytest.approx(stated_effect(cell) / math.sqrt(1 + 0.346 * SUCCESS_SD**2), rel=0.01)


def test_times_and_their_untouched_series_share_what_is_stated() -> None:
    cell = cell_named("time back-16 compared rho0.3 learning regular")
    simulated = simulate(cell, N, cell.seed(1), effect=0.0)
    assert simulated.control_value is not None and simulated.control_size is not None
    left = simulated.value - latent_mean(cell), simulated.control_value - latent_mean(cell)
    assert np.mean(left[0] * left[1]) == pytest.approx(SHARED * PRACTICE_SD**2, rel=0.05)
    noise = np.mean(ATTEMPT_SD**2 / simulated.size)
    assert np.mean(left[0] ** 2) == pytest.approx(PRACTICE_SD**2 + noise, rel=0.03)
    assert simulated.within is not None
    per_attempt = np.sum(simulated.within) / np.sum(simulated.size - 1)
    assert per_attempt == pytest.approx(ATTEMPT_SD**2, rel=0.03)
