"""How far missing values could move an effect: the ends hold every filling in between, and nothing missing says so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from rampbook.estimators.marginal import Estimate, central_effect, estimate_effect
from rampbook.estimators.missing import missing_bounds
from rampbook.estimators.model import Model, build_model
from rampbook.series.practices import PracticeSeries
from tests.evidence.make_series import noisy_times, series_of

ONCE = [0] * 9 + [1] * 9
SIZES = {"count": {"exposure": 60}, "success": {"tries": 10}}


def values_of(kind: str) -> list[float | None]:
    """Give practice values of one kind with a plain effect; the seed is fixed."""
    rng = np.random.default_rng(4)
    if kind == "time":
        return list(noisy_times(ONCE, ratio=0.9))
    if kind == "count":
        return [float(rng.poisson(9 - 4 * phase)) for phase in ONCE]
    if kind == "rating":
        return [float(round(5 + 2 * phase + rng.normal(0, 0.7), 1)) for phase in ONCE]
    return [float(rng.binomial(10, 0.4 + 0.3 * phase)) for phase in ONCE]


def table(kind: str, values: Sequence[float | None], **columns: Any) -> PracticeSeries:
    sizes = {name: [size] * len(values) for name, size in SIZES.get(kind, {}).items()}
    return series_of(ONCE, values, kind=kind, **sizes, **columns)  # type: ignore[arg-type]


def fitted(series: PracticeSeries, *, trend: bool = True) -> tuple[Model, Estimate]:
    model = build_model(series, trend=trend)
    return model, estimate_effect(model, series.kind.name, confidence=0.95)


@pytest.mark.parametrize("kind", ["time", "count", "rating", "success"])
def test_missing_practices_leave_a_range_around_the_estimate(kind: str) -> None:
    values = values_of(kind)
    values[8] = values[10] = None
    series = table(kind, values)
    model, estimate = fitted(series)
    bounds = missing_bounds(series, model, estimate)
    assert bounds is not None
    assert bounds[0] < estimate.effect < bounds[1]


@pytest.mark.parametrize("kind", ["time", "count", "rating", "success"])
def test_where_nothing_is_missing_there_is_no_range(kind: str) -> None:
    series = table(kind, values_of(kind))
    assert missing_bounds(series, *fitted(series)) is None


def test_the_range_holds_every_filling_between_its_ends() -> None:
    """Each missing practice anywhere from the lowest to the highest residual that was seen, fitted anew by itself."""
    rng = np.random.default_rng(8)
    values: list[float | None] = list(noisy_times(ONCE, ratio=0.9, seed=3))
    gone = [1, 8, 11, 16]
    for i in gone:
        values[i] = None
    series = table("time", values)
    model, estimate = fitted(series)
    bounds = missing_bounds(series, model, estimate)
    assert bounds is not None
    rows = np.column_stack([np.ones(18), np.arange(18) - 8.5, ONCE])
    known = np.setdiff1d(np.arange(18), gone)
    fit = estimate_effect(replace(model, design=rows[known]), "time", confidence=0.95).fit
    line = rows @ (fit.weight[0] @ fit.beta[0])
    residual = model.response - line[known]
    inside = []
    for _ in range(60):
        filled = line.copy()
        filled[known] = model.response
        filled[gone] += rng.choice([residual.min(), residual.max()], 4) * rng.choice([1.0, rng.uniform()], 4)
        whole = table("time", np.exp(filled).tolist())
        inside.append(central_effect(build_model(whole, trend=True), "time"))
    assert bounds[0] - 1e-6 <= min(inside)
    assert max(inside) <= bounds[1] + 1e-6
    # Wide enough to hold them, and no wider than the worst of them asks for.
    assert max(inside) - min(inside) > 0.8 * (bounds[1] - bounds[0])


def test_without_a_trend_the_ends_put_each_side_against_the_other() -> None:
    """Plain means by hand: three missing practices after at the slowest, and at the fastest, that was seen."""
    after = np.log(noisy_times([1] * 9, ratio=0.9, sd=0.001))
    values: list[float | None] = [*[12.0, 12.6] * 4, 12.3, *(float(np.exp(value)) for value in after)]
    values[15] = values[16] = values[17] = None
    series = table("time", values)
    model, estimate = fitted(series, trend=False)
    bounds = missing_bounds(series, model, estimate)
    assert bounds is not None
    swing = np.log(12.6 / 12.0) / 2
    # A third of the practices after is missing, each as far off as the half swing of those before.
    assert bounds == pytest.approx((estimate.effect - swing / 3, estimate.effect + swing / 3), abs=0.004)


def test_more_missing_practices_leave_a_wider_range() -> None:
    widths = []
    for gone in ([10], [10, 12], [10, 12, 14]):
        values: list[float | None] = list(noisy_times(ONCE, ratio=0.9))
        for i in gone:
            values[i] = None
        series = table("time", values)
        bounds = missing_bounds(series, *fitted(series))
        assert bounds is not None
        widths.append(bounds[1] - bounds[0])
    assert widths == sorted(widths)
    assert widths[0] > 0


def test_an_attempt_that_was_stopped_can_only_have_been_slower() -> None:
    """In the last practice, after the change, a slower time can only make the new setting slower."""
    series = table("time", noisy_times(ONCE, ratio=0.9), finished=[1] * 17 + [0])
    model, estimate = fitted(series, trend=False)
    bounds = missing_bounds(series, model, estimate)
    assert bounds is not None
    assert bounds[0] == pytest.approx(estimate.effect, abs=1e-9)
    assert bounds[1] > estimate.effect


def test_a_covariate_that_nobody_noted_is_taken_as_usual() -> None:
    values: list[float | None] = list(noisy_times(ONCE, ratio=0.9))
    values[12] = None
    load = np.random.default_rng(2).normal(size=18).round(2).tolist()
    ranges = []
    for noted in (None, float(np.mean([one for i, one in enumerate(load) if i != 12]))):
        frame: dict[str, Any] = {"load": [*load[:12], noted, *load[13:]]}
        series = with_load(values, frame)
        bounds = missing_bounds(series, *fitted(series))
        assert bounds is not None
        ranges.append(bounds)
    assert ranges[0] == pytest.approx(ranges[1], abs=1e-12)


def with_load(values: Sequence[float | None], columns: dict[str, Any]) -> PracticeSeries:
    import polars as pl

    from rampbook.series.read import read_series

    frame = pl.DataFrame({"practice": range(18), "phase": ONCE, "value": list(values)} | columns)
    return read_series(frame, kind="time", covariates=["load"])
