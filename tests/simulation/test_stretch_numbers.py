"""How the five numbers of the stretch are found: the needed stretch, the distance made small, and a small bank."""

from __future__ import annotations

import numpy as np
import pytest

from analyses.stretch import (
    SEED,
    Bank,
    Spot,
    all_spots,
    derive,
    draw,
    fit_spot,
    log_stretch,
    loss,
    make_bank,
    percent_called,
    present_numbers,
    report,
)
from rampbook.estimators import stretch as rule
from rampbook.estimators.batch import batch_design
from rampbook.estimators.grid import grid_for
from rampbook.estimators.judge import judge
from rampbook.estimators.kernel import fit_effect

TOGETHER = [
    spot
    for spot in all_spots()
    if spot.design in ("once 15+15", "alternating 16", "start by lot 20", "twice there and back 16")
    and spot.gaps == "even"
    and spot.within_reach
    and spot.noise in ("attempts", "counts")
]


@pytest.fixture(scope="module")
def bank() -> Bank:
    return make_bank(TOGETHER, 250, SEED, workers=1)


def test_there_are_as_many_spots_as_are_told_and_each_has_its_own_draw() -> None:
    spots = all_spots()
    assert len(spots) == len({spot.name for spot in spots}) == 1020
    first, again, other = (fit_spot(spot, 5, 1)[0] for spot in (spots[100], spots[100], spots[101]))
    np.testing.assert_array_equal(first, again)
    assert not np.allclose(first, other)


@pytest.mark.parametrize("spot", TOGETHER[::5], ids=lambda spot: spot.name)
def test_a_series_is_called_just_where_the_rule_stretches_less_than_needed(spot: Spot) -> None:
    """The same series through the product's own judge."""
    n_series = 200
    needed, features = fit_spot(spot, n_series, SEED)
    drawn = draw(
        spot, n_series, np.random.default_rng(np.random.SeedSequence(SEED, spawn_key=(all_spots().index(spot),)))
    )
    grid = grid_for("count" if spot.noise == "counts" else "time")
    fit = fit_effect(drawn.response, batch_design(drawn.phase, trend=True), drawn.gaps, drawn.noise, grid)
    judged = judge(fit, grid, drawn.phase.shape[1], 0.95)
    one = Bank(spots=(spot,), needed=needed[None], features=features[None])
    stretch = log_stretch(one, present_numbers())[0]
    np.testing.assert_allclose(np.exp(stretch), judged.stretch, rtol=1e-12)
    called = (judged.low > 0) | (judged.high < 0)
    np.testing.assert_array_equal(called, needed > stretch)
    assert percent_called(one, present_numbers())[0] == 100 * np.mean(called)


def test_a_series_without_a_change_is_drawn_with_the_stated_autocorrelation() -> None:
    spots = [s for s in all_spots() if s.design == "once 20+20" and s.noise == "none" and s.gaps == "even"]
    for spot in spots:
        response = draw(spot, 2000, np.random.default_rng(1)).response
        neighbours = np.mean(response[:, 1:] * response[:, :-1]) / np.mean(response**2)
        assert neighbours == pytest.approx(spot.rho, abs=0.02)


def test_the_slope_of_the_distance_is_its_slope(bank: Bank) -> None:
    unit = bank.features.std(axis=(0, 1)) + 0.1
    step = 1e-5
    for numbers in (np.zeros(5), np.array([0.05, 0.2, -0.3, 0.1, 0.4])):
        slope = loss(numbers, bank, unit)[1]
        moves = step * np.eye(5)
        found = [
            (loss(numbers + move, bank, unit)[0] - loss(numbers - move, bank, unit)[0]) / (2 * step) for move in moves
        ]
        np.testing.assert_allclose(slope, found, rtol=1e-4, atol=1e-3 * np.abs(slope).max())


def test_a_small_bank_gives_numbers_that_bring_false_positives_nearer_to_the_band(bank: Bank) -> None:
    unit = np.ones(5)
    found = derive(bank)
    assert loss(found, bank, unit * 0)[0] < 0.5 * loss(np.zeros(5), bank, unit * 0)[0]
    assert percent_called(bank, found).max() < percent_called(bank, np.zeros(5)).max()


def test_the_products_numbers_do_so_too_on_series_that_they_were_not_found_on() -> None:
    fresh = make_bank(TOGETHER, 400, 77, workers=1)
    none, ours = (loss(numbers, fresh, np.zeros(5))[0] for numbers in (np.zeros(5), present_numbers()))
    assert ours < 0.5 * none
    assert percent_called(fresh, present_numbers()).max() < 6.5 + 2 * 100 * np.sqrt(0.065 * 0.935 / 400)


def test_the_report_says_both_sets_of_numbers(bank: Bank) -> None:
    text = report(np.array([0.5, 0.25, 0.125, 1.0, 2.0]), make_bank(all_spots()[::7], 20, 3, workers=1), 2)
    assert "0.500, 0.250, 0.125, 1.000, 2.000" in text
    assert f"{rule.CONSTANT:.3f}, {rule.LEANING:.3f}" in text
    assert "--seed 2 --series 20" in text and "seed 3" in text
