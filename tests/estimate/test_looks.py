"""Looking often: the fits of all looks at once, the boundary found from them, and what it does to an estimate."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from numpy.typing import NDArray

import rampbook
from rampbook.errors import EntryError
from rampbook.estimators import looks
from rampbook.estimators.grid import grid_for
from rampbook.estimators.judge import judge
from rampbook.estimators.kernel import fit_effect
from rampbook.estimators.looks import DRAWS, Plan, allow_for_looks, factor, fit_looks, needed_stretch, plan_looks
from rampbook.estimators.marginal import estimate_effect
from rampbook.estimators.model import Model
from rampbook.estimators.simulate import simulate_null

GRID = grid_for("time")


def a_model(before: int, after: int, *, effect: float = 0.0, seed: int = 5) -> Model:
    rng = np.random.default_rng(seed)
    n = before + after
    phase = np.repeat([0.0, 1.0], [before, after])
    design = np.column_stack([np.ones(n), np.arange(n) - (n - 1) / 2, phase])
    response = 3 + 0.1 * rng.normal(size=n) + effect * phase
    return Model(
        response=response, design=design, names=("level", "trend", "effect"), gaps=np.ones(n),
        noise=rng.uniform(0.5, 2, n), half_counts=False, main_response=response,
    )  # fmt: skip


def with_looks(plan: Plan, which: tuple[int, ...]) -> Plan:
    return Plan(design=plan.design, gaps=plan.gaps, noise=plan.noise, looks=which)


def test_every_look_is_fitted_as_if_it_were_the_only_one() -> None:
    rng = np.random.default_rng(1)
    model = a_model(6, 6)
    gaps, noise = rng.uniform(0.5, 2, size=(2, 12))
    responses = rng.normal(size=(40, 12))
    for n, found in fit_looks(responses, model.design, gaps, noise, GRID, (9, 10, 12)):
        design, gap, spread = (np.broadcast_to(part[:n], (40, *part[:n].shape)) for part in (model.design, gaps, noise))
        alone = fit_effect(responses[:, :n], design, gap, spread, GRID)
        assert found.df == alone.df
        for name in ("beta", "se", "unscaled", "weight"):
            np.testing.assert_allclose(getattr(found, name), getattr(alone, name), rtol=1e-8, atol=1e-10)


def test_a_look_needs_more_than_the_plain_interval_just_where_that_leaves_out_no_effect() -> None:
    plan = plan_looks(a_model(6, 4), 6)
    design, gaps, noise = (np.array(part) for part in (plan.design, plan.gaps, plan.noise))
    needed = needed_stretch(plan, GRID, 0.95)
    drawn = simulate_null(gaps, noise, GRID, DRAWS).reshape(-1, 12)[:500]
    for k, (n, fit) in enumerate(fit_looks(drawn, design, gaps, noise, GRID, plan.looks)):
        judged = judge(fit, GRID, n, 0.95)
        np.testing.assert_array_equal(needed[k, :500] > 1, (judged.low > 0) | (judged.high < 0))
        over = needed[k, :500] > 1
        end = np.where(judged.effect > 0, judged.low, judged.high)
        np.testing.assert_allclose(needed[k, :500][over], (judged.effect / (judged.effect - end))[over], rtol=1e-6)


def test_the_boundary_is_the_smallest_that_holds() -> None:
    """For a fit that is sure of one grid point the half of its weight is that point: then it is a plain quantile."""
    plan = plan_looks(a_model(5, 5), 10)
    most = needed_stretch(plan, GRID, 0.9).max(axis=0).reshape(GRID.size, DRAWS)
    found = factor(plan, GRID, 0.9, np.eye(GRID.size))
    crossed = np.mean(most > found[:, None], axis=1)
    assert np.all(crossed <= 0.1)
    bound = found > 1
    assert bound.sum() > GRID.size / 2
    assert np.all(np.mean(most >= found[:, None], axis=1)[bound] > 0.1)


def test_more_looks_never_make_it_narrower() -> None:
    plan = plan_looks(a_model(5, 5), 9)
    weight = np.random.default_rng(2).dirichlet(np.full(GRID.size, 0.3), size=50)
    before = np.ones(50)
    for first in (6, 5, 3, 0):
        now = factor(with_looks(plan, plan.looks[first:]), GRID, 0.95, weight)
        assert np.all(now >= before - 1e-9)
        before = now
    assert before.min() > 1.1


def test_one_look_is_the_plain_estimate() -> None:
    model = a_model(8, 3)
    plain = estimate_effect(model, "time", confidence=0.95)
    allowed = allow_for_looks(model, plain, "time", 3)
    assert (allowed.taken, allowed.planned, allowed.factor) == (1, 1, 1.0)
    assert allowed.estimate is plain


def test_the_same_design_gets_the_same_boundary() -> None:
    model = a_model(6, 5)
    plain = estimate_effect(model, "time", confidence=0.95)
    first = allow_for_looks(model, plain, "time", 9).factor
    looks._crossed.cache_clear()
    assert allow_for_looks(model, plain, "time", 9).factor == first > 1


@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_p_and_interval_agree(confidence: float) -> None:
    told = []
    for effect in np.linspace(0.0, 0.6, 25):
        model = a_model(6, 6, effect=effect)
        plain = estimate_effect(model, "time", confidence=confidence)
        wide = allow_for_looks(model, plain, "time", 10).estimate
        assert wide.low < plain.low < plain.effect == wide.effect < plain.high < wide.high
        assert wide.p > plain.p
        assert (wide.p < 1 - confidence) == (wide.low > 0 or wide.high < 0)
        told.append(wide.p < 1 - confidence)
    assert 0 < sum(told) < 25


def test_the_plan_goes_on_with_the_new_setting_at_typical_gaps() -> None:
    model = a_model(8, 4)
    plan = plan_looks(model, 10)
    design = np.array(plan.design)
    assert design.shape == (18, 3)
    np.testing.assert_array_equal(design[:, 2], np.repeat([0, 1], [8, 10]))
    np.testing.assert_array_equal(np.diff(design[:, 1]), 1)
    assert plan.noise == (*model.noise.tolist(), *[1.0] * 6)
    assert plan.looks == tuple(range(11, 19))


def test_practices_beyond_the_declared_end_are_no_part_of_the_plan() -> None:
    plan = plan_looks(a_model(6, 9), 5)
    assert len(plan.design) == 11 and plan.looks == (9, 10, 11)


def test_very_many_looks_are_thinned_but_first_and_last_stay() -> None:
    plan = plan_looks(a_model(6, 4), 60)
    assert len(plan.looks) == looks.MOST_LOOKS
    assert (plan.looks[0], plan.looks[-1]) == (9, 66)


def table(after: int) -> pl.DataFrame:
    noise: NDArray[np.float64] = np.random.default_rng(3).normal(size=8 + after)
    phase = [0] * 8 + [1] * after
    seconds = 12 * np.exp(0.03 * noise - 0.08 * np.array(phase))
    return pl.DataFrame({"practice": range(8 + after), "phase": phase, "value": seconds})


def test_the_public_estimate_allows_for_looks_only_when_asked() -> None:
    plain = rampbook.estimate(table(6), kind="time", sensitivity=False)
    often = rampbook.estimate(table(6), kind="time", sensitivity=False, until=10)
    assert plain.method["looks"] is None
    assert often.method["looks"] | {"factor": None} == {"declared": 10, "taken": 4, "planned": 8, "factor": None}
    assert often.method["looks"]["factor"] > 1
    assert often.low is not None and plain.low is not None and often.low < plain.low
    assert often.method["stretch"] == pytest.approx(plain.method["stretch"] * often.method["looks"]["factor"])
    assert not [warned for warned in often.warnings if warned.code == "beyond_declared_end"]


def test_going_on_beyond_the_declared_end_is_said() -> None:
    found = rampbook.estimate(table(6), kind="time", sensitivity=False, until=4)
    said = [warned.message for warned in found.warnings if warned.code == "beyond_declared_end"]
    assert len(said) == 1 and "end at 4" in said[0] and "6 were held" in said[0]


@pytest.mark.parametrize("until", [0, 2, 201])
def test_an_end_that_cannot_be_is_refused(until: int) -> None:
    with pytest.raises(EntryError, match=f"Until is {until}: give how many practices"):
        rampbook.estimate(table(6), kind="time", until=until)


def test_a_league_refuses_looks() -> None:
    with pytest.raises(EntryError, match="one look a series"):
        rampbook.estimate_many(table(6).with_columns(athlete=pl.lit("A1")), by=["athlete"], kind="time", until=10)
