"""Attempts within practices: the mixed model against published fits."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from rampbook.estimators.usual_fits import fit_mixed

Example = Callable[[str, str], Any]
Design = Callable[..., NDArray[np.float64]]


def numbered(labels: Any) -> NDArray[np.int64]:
    return np.asarray(np.unique(np.asarray(labels, dtype=str), return_inverse=True)[1], dtype=np.int64)


def test_growth_of_a_jaw(example: Example, design: Design) -> None:
    """Pinheiro & Bates 2000, Mixed-Effects Models in S and S-PLUS, sections 1.4 and 4 (from memory)."""
    jaws = example("nlme", "Orthodont")
    distance, age, child = jaws["distance"].to_numpy(float), jaws["age"].to_numpy(float), numbered(jaws["Subject"])
    fit = fit_mixed(distance, design(age), child, random=design(age))
    assert fit.coefficients == pytest.approx([16.7611, 0.66019], abs=5e-5)
    assert fit.errors == pytest.approx([0.77525, 0.07125], abs=2e-4)
    sd = [math.sqrt(fit.numbers[f"random_covariance_{place}"]) for place in ("00", "11")]
    assert sd == pytest.approx([2.3270, 0.22643], rel=3e-3)  # the library stops early
    assert fit.numbers["random_covariance_10"] / (sd[0] * sd[1]) == pytest.approx(-0.609, abs=3e-3)
    assert math.sqrt(fit.numbers["residual_variance"]) == pytest.approx(1.31004, rel=3e-3)
    assert fit.numbers["log_likelihood"] == pytest.approx(-221.3183, abs=5e-4)
    girl = (jaws["Sex"] == "Female").to_numpy(float)
    one = fit_mixed(distance, design(age, girl, age * girl), child)
    assert math.sqrt(one.numbers["group_variance"]) == pytest.approx(1.81621, abs=5e-5)
    assert math.sqrt(one.numbers["residual_variance"]) == pytest.approx(1.38638, abs=5e-5)
    assert one.numbers["log_likelihood"] == pytest.approx(-216.8786, abs=5e-5)


def test_reaction_without_sleep(example: Example, design: Design) -> None:
    """Bates, Mächler, Bolker & Walker 2015, J Stat Softw 67(1); criteria as in lme4's own tests."""
    sleep = example("lme4", "sleepstudy")
    reaction, days = sleep["Reaction"].to_numpy(float), sleep["Days"].to_numpy(float)
    person = numbered(sleep["Subject"])
    fit = fit_mixed(reaction, design(days), person, random=design(days))
    assert fit.coefficients == pytest.approx([251.405, 10.467], abs=5e-4)
    assert fit.errors == pytest.approx([6.825, 1.546], abs=2e-3)
    assert fit.numbers["random_covariance_00"] == pytest.approx(612.10, rel=3e-3)
    assert fit.numbers["random_covariance_11"] == pytest.approx(35.07, rel=3e-3)
    assert fit.numbers["residual_variance"] == pytest.approx(654.94, rel=3e-3)
    assert -2 * fit.numbers["log_likelihood"] == pytest.approx(1743.628, abs=5e-4)
    full = fit_mixed(reaction, design(days), person, random=design(days), restricted=False)
    assert -2 * full.numbers["log_likelihood"] == pytest.approx(1751.939, abs=1e-3)


def test_machines_within_workers(example: Example, design: Design) -> None:
    """Pinheiro & Bates 2000, section 1.3 (from memory): ignoring the nesting shrinks the standard errors."""
    machines = example("nlme", "Machines")
    exog = design(machines["Machine"] == "B", machines["Machine"] == "C")
    worker, machine = numbered(machines["Worker"]), numbered(machines["Machine"])
    score = machines["score"].to_numpy(float)
    fit = fit_mixed(score, exog, worker, within=machine)
    assert fit.coefficients == pytest.approx([52.35556, 7.96667, 13.91667], abs=5e-5)
    assert fit.errors == pytest.approx([2.48583, 2.17697, 2.17697], rel=3e-3)
    assert math.sqrt(fit.numbers["group_variance"]) == pytest.approx(4.78105, rel=3e-3)
    assert math.sqrt(fit.numbers["within_variance"]) == pytest.approx(3.72953, rel=3e-3)
    assert math.sqrt(fit.numbers["residual_variance"]) == pytest.approx(0.96158, rel=3e-3)
    assert fit.numbers["log_likelihood"] == pytest.approx(-107.8438, abs=5e-4)
    assert fit_mixed(score, exog, worker).errors[1] == pytest.approx(1.0539, abs=5e-5)


def test_travel_along_rails(example: Example) -> None:
    """Pinheiro & Bates 2000, section 1.1 (from memory)."""
    rails = example("nlme", "Rail")
    travel, rail = rails["travel"].to_numpy(float), rails["Rail"].to_numpy(int)
    fit = fit_mixed(travel, np.ones((18, 1)), rail)
    assert (fit.coefficients[0], fit.errors[0]) == pytest.approx((66.5, 10.171), abs=5e-4)
    assert math.sqrt(fit.numbers["group_variance"]) == pytest.approx(24.805, abs=1e-3)
    assert math.sqrt(fit.numbers["residual_variance"]) == pytest.approx(4.0208, abs=5e-5)
    assert fit.numbers["log_likelihood"] == pytest.approx(-61.0885, abs=5e-5)
    full = fit_mixed(travel, np.ones((18, 1)), rail, restricted=False)
    assert math.sqrt(full.numbers["group_variance"]) == pytest.approx(22.624, abs=5e-4)
    assert full.numbers["log_likelihood"] == pytest.approx(-64.28, abs=5e-3)


class TestDyestuff:
    """Davies 1949; Box & Tiao 1973; criteria as in lme4's own tests."""

    def test_variance_between_batches(self, example: Example) -> None:
        dye = example("lme4", "Dyestuff")
        amount, batch = dye["Yield"].to_numpy(float), numbered(dye["Batch"])
        fit = fit_mixed(amount, np.ones((30, 1)), batch)
        assert fit.coefficients[0] == pytest.approx(1527.5, abs=5e-2)
        assert math.sqrt(fit.numbers["group_variance"]) == pytest.approx(42.001, abs=1e-3)
        assert math.sqrt(fit.numbers["residual_variance"]) == pytest.approx(49.510, abs=5e-4)
        assert -2 * fit.numbers["log_likelihood"] == pytest.approx(319.654, abs=5e-4)
        full = fit_mixed(amount, np.ones((30, 1)), batch, restricted=False)
        assert -2 * full.numbers["log_likelihood"] == pytest.approx(327.3271, abs=5e-5)

    def test_zero_variance_is_zero_and_is_told(self, example: Example) -> None:
        dye = example("lme4", "Dyestuff2")
        amount = dye["Yield"].to_numpy(float)
        fit = fit_mixed(amount, np.ones((30, 1)), numbered(dye["Batch"]))
        assert fit.numbers["group_variance"] == 0.0
        assert "the variance between practices came out as zero" in fit.algorithm
        # With no variance between batches the model is the plain mean of 30 values.
        assert fit.errors[0] == pytest.approx(np.std(amount, ddof=1) / math.sqrt(30), rel=1e-6)
