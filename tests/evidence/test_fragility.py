"""How fragile a result is: a case made to trip each test, and one that must not, of every kind where it can be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import polars as pl
import pytest
from numpy.typing import NDArray

from rampbook.evidence.assess import Options, assess
from rampbook.evidence.facts import Labels
from rampbook.evidence.finding import Finding
from rampbook.evidence.fragile_words import fragile_words
from rampbook.series.read import read_series
from tests.evidence.make_series import noisy_times, series_of

KINDS = ("time", "count", "rating", "success")
RATIO_KINDS = ("time", "count", "success")
ONCE = [0] * 8 + [1] * 8
WORTHWHILE = {"time": 0.97, "count": 0.8, "rating": 0.5, "success": 1.3}
SIZES = {"count": {"exposure": 60.0}, "success": {"tries": 12.0}}


def values_of(kind: str, seed: int) -> list[float]:
    """Give practices of one kind with an effect for the better; the seed decides how clear it comes out."""
    rng = np.random.default_rng(seed)
    if kind == "time":
        return [float(round(12 * np.exp(-0.16 * p + rng.normal(0, 0.04)), 2)) for p in ONCE]
    if kind == "count":
        return [float(rng.poisson(12 * np.exp(-1.2 * p))) for p in ONCE]
    if kind == "rating":
        return [float(np.clip(round(5 + 2 * p + rng.normal(0, 0.6), 1), 0, 10)) for p in ONCE]
    return [float(rng.binomial(12, 1 / (1 + np.exp(0.6 - 2 * p)))) for p in ONCE]


def found(
    kind: str,
    values: Sequence[float | None],
    phases: Sequence[int] = ONCE,
    *,
    worthwhile: float | None = None,
    **columns: Any,
) -> Finding:
    """Judge a series of one kind; other columns by name."""
    sizes = {name: [size] * len(values) for name, size in SIZES.get(kind, {}).items()}
    series = series_of(phases, values, kind=kind, **(sizes | columns))  # type: ignore[arg-type]
    return assess(series, Options(sensitivity=False, worthwhile=worthwhile or WORTHWHILE[kind]))


def codes(finding: Finding) -> list[str]:
    return [warning.code for warning in finding.warnings]


def message(finding: Finding, code: str) -> str:
    return next(warning.message for warning in finding.warnings if warning.code == code)


# One practice


def hanging(kind: str) -> tuple[list[float], Finding]:
    """Give the first of many series that is called better because of one practice."""
    for seed in range(120):
        values = values_of(kind, seed)
        whole = found(kind, values)
        if whole.verdict == "better" and len(whole.robustness["hangs_on"]) == 1:
            return values, whole
    raise AssertionError(f"none of 120 series of kind {kind} hangs on one practice")


@pytest.mark.parametrize("kind", KINDS)
def test_the_practice_an_answer_hangs_on_is_named_and_without_it_the_answer_is_another(kind: str) -> None:
    values, whole = hanging(kind)
    (name,) = whole.robustness["hangs_on"]
    assert f"hangs on one practice: without {name} the effect would be" in message(whole, "hangs_on_one")
    assert any(f"the answer hangs on {name}" in sentence for sentence in fragile_words(whole))
    # Given a coefficient of its own the named practice says nothing of the effect. That fit has a design of its own,
    # and so a calibration of its own: its p need not be beyond the border, but much larger than without another.
    without, other = (apart(kind, values, i).p for i in (int(name), (int(name) + 5) % 16))
    assert whole.p is not None and without is not None and other is not None
    assert without > 1.5 * max(whole.p, other)


def apart(kind: str, values: Sequence[float], practice: int) -> Finding:
    """Judge the series with a declared covariate that is 1 at one practice and 0 elsewhere."""
    table = {"practice": range(16), "phase": ONCE, "value": values, "own": [float(i == practice) for i in range(16)]}
    sizes = {name: [size] * 16 for name, size in SIZES.get(kind, {}).items()}
    series = read_series(pl.DataFrame(table | sizes), kind=kind, covariates=["own"])
    return assess(series, Options(sensitivity=False, worthwhile=WORTHWHILE[kind]))


@pytest.mark.parametrize(("kind", "seed"), [("time", 0), ("count", 5), ("rating", 1), ("success", 2)])
def test_a_plain_effect_hangs_on_no_practice(kind: str, seed: int) -> None:
    result = found(kind, values_of(kind, seed))
    assert (result.verdict, result.robustness["hangs_on"]) == ("better", [])
    assert "hangs_on_one" not in codes(result)
    assert any("does not hang on one" in sentence for sentence in fragile_words(result))


def test_an_effect_just_worth_while_hangs_on_each_practice_that_makes_it_so() -> None:
    """The interval leaves out no effect with or without; only the size falls below what matters."""
    values = noisy_times(ONCE, ratio=0.8, sd=0.01)
    plain = found("time", values)
    assert plain.estimate is not None
    edge = found("time", values, worthwhile=plain.estimate * 1.0001)
    assert edge.verdict == "better"
    assert len(edge.robustness["hangs_on"]) > 3
    assert "The same holds, each alone, for" in message(edge, "hangs_on_one")
    assert "more." in message(edge, "hangs_on_one")


def test_a_silent_result_has_nothing_to_hang() -> None:
    result = found("time", noisy_times(ONCE, ratio=1.0))
    assert result.verdict == "cannot tell yet" and result.robustness["hangs_on"] == []


# False dates


UNSTEADY = [0] * 12 + [0, 1] * 10
MANY: dict[str, Any] = {"tries": [900.0] * 32}


def from_link(kind: str, gain: NDArray[np.float64]) -> list[float]:
    """Turn a gain on the link scale into practices of one kind."""
    if kind == "time":
        return [float(value) for value in 12 * np.exp(-gain)]
    if kind == "count":
        return [float(value) for value in np.round(60 * np.exp(-gain))]
    if kind == "rating":
        return [float(value) for value in 3 + 2 * gain]
    return [float(value) for value in np.round(900 / (1 + np.exp(0.5 - gain)))]


def unsteady(kind: str, *, step: float) -> Finding:
    """Twelve practices with a step of their own after six, then twenty that alternate with a small, sure effect."""
    jitter = np.random.default_rng(3).normal(0, 0.01, 32)
    values = from_link(kind, np.where(np.arange(32) < 6, -step, 0.0) + 0.2 * np.array(UNSTEADY) - jitter)
    return found(kind, values, UNSTEADY, **(MANY if kind == "success" else {}))


@pytest.mark.parametrize("kind", KINDS)
def test_an_outcome_that_steps_by_itself_is_found_out_by_false_dates(kind: str) -> None:
    result = unsteady(kind, step=0.9)
    share, dates = result.robustness["placebo_share"], result.robustness["placebo_dates"]
    assert (dates, share >= 0.25) == (8, True)
    assert f"{round(share * dates)} of 8 false dates give as large an effect" in message(result, "placebo_dates")


@pytest.mark.parametrize("kind", KINDS)
def test_an_outcome_that_is_steady_before_passes_the_false_dates(kind: str) -> None:
    result = unsteady(kind, step=0.0)
    assert (result.robustness["placebo_dates"], result.robustness["placebo_share"]) == (8, 0)
    assert "placebo_dates" not in codes(result)
    assert "Of 8 false dates before the change, none gave as large an effect." in fragile_words(result)


# An unseen cause


def precise(kind: str, effect: float) -> list[float]:
    """Give practices so regular that even a tiny effect for the better is sure."""
    wobble = np.tile([0.004, -0.003, -0.002, 0.003, -0.002], 4)[:16]
    link = effect * np.array(ONCE) + wobble
    if kind == "time":
        return [float(value) for value in 12 * np.exp(-link)]
    if kind == "count":
        return [float(value) for value in np.round(40000 * np.exp(-link))]
    return [float(value) for value in np.round(90000 / (1 + np.exp(-link)))]


SMALL: dict[str, tuple[float, dict[str, Any]]] = {
    "time": (0.99, {}),
    "count": (0.99, {}),
    "success": (1.01, {"tries": [90000] * 16}),
}


@pytest.mark.parametrize("kind", RATIO_KINDS)
def test_a_small_sure_effect_is_easily_explained_by_something_unseen(kind: str) -> None:
    least, sizes = SMALL[kind]
    result = found(kind, precise(kind, 0.03), worthwhile=least, **sizes)
    assert (result.verdict, result.rung) == ("better", "before-after")
    assert result.robustness["e_value_limit"] < 1.25
    assert f"{result.robustness['e_value_limit']:.2f} times as common" in message(result, "easily_explained")


@pytest.mark.parametrize("kind", RATIO_KINDS)
def test_a_large_sure_effect_is_not(kind: str) -> None:
    least, sizes = SMALL[kind]
    result = found(kind, precise(kind, 0.6), worthwhile=least, **sizes)
    assert result.verdict == "better" and result.robustness["e_value_limit"] > 1.25
    assert "easily_explained" not in codes(result)
    assert any(f"{result.robustness['e_value']:.2f} times as common" in line for line in fragile_words(result))


def test_an_untouched_series_answers_for_unseen_causes() -> None:
    result = found("time", precise("time", 0.03), worthwhile=0.99, control=precise("time", 0.0)[::-1])
    assert (result.verdict, result.rung) == ("better", "compared")
    assert result.robustness["e_value_limit"] < 1.25
    assert "easily_explained" not in codes(result)


def test_points_have_no_e_value() -> None:
    result = found("rating", values_of("rating", 1))
    assert result.robustness["e_value"] is None
    assert not any("E-value" in line for line in fragile_words(result))


# Missing values


@pytest.mark.parametrize("kind", KINDS)
def test_missing_practices_that_could_turn_the_answer_are_told(kind: str) -> None:
    # Three of thirty: one more than a tenth would take a rung, and a change only noted is not judged.
    phases = [0] * 15 + [1] * 15
    gain = 0.6 * np.array(phases) + np.random.default_rng(6).normal(0, 0.06, 30)
    values: list[float | None] = list(from_link(kind, gain))
    values[7] = values[19] = values[22] = None
    sizes: dict[str, Any] = {"tries": [900.0] * 30} if kind == "success" else {}
    middle = found(kind, values, phases, **sizes)
    assert middle.estimate is not None
    low, high = middle.robustness["missing_bounds"]
    assert low <= middle.estimate <= high and low < high
    # What would matter lies just short of the estimate, so the unfavourable end falls short of it.
    least = middle.estimate * (1.001 if middle.better == "lower" else 0.999)
    edge = found(kind, values, phases, worthwhile=least, **sizes)
    assert edge.verdict == "better"
    assert "had they been as good or as bad" in message(edge, "missing_could_turn")
    assert edge.robustness["missing_practices"] == 3
    assert any("With 3 practices without a value put as good or as bad" in line for line in fragile_words(edge))


@pytest.mark.parametrize(("kind", "seed"), [("time", 0), ("count", 5), ("rating", 1), ("success", 2)])
def test_one_missing_practice_does_not_turn_a_plain_effect(kind: str, seed: int) -> None:
    values: list[float | None] = list(values_of(kind, seed))
    values[13] = None
    result = found(kind, values)
    assert result.verdict == "better" and result.robustness["missing_bounds"] is not None
    assert "missing_could_turn" not in codes(result)


def test_nothing_missing_gives_no_range_and_says_so() -> None:
    result = found("time", noisy_times(ONCE, ratio=0.8))
    assert (result.robustness["missing_bounds"], result.robustness["missing_practices"]) == (None, 0)
    assert "No practice is without a value, and no attempt was stopped." in fragile_words(result)


def test_practices_that_lack_the_untouched_series_are_missing_from_the_comparison() -> None:
    control: list[float | None] = list(noisy_times([0] * 16, ratio=1.0, seed=5))
    control[3] = control[11] = None
    values: list[float | None] = list(noisy_times(ONCE, ratio=0.8))
    values[6] = None
    result = found("time", values, control=control)
    assert result.rung in ("compared", "before-after") and result.n["practices"] == 13
    assert result.robustness["missing_practices"] == 3
    assert result.robustness["missing_bounds"] is not None


def test_unfinished_attempts_have_a_range_too() -> None:
    result = found("time", noisy_times(ONCE, ratio=0.8), finished=[1] * 15 + [0], worthwhile=0.97)
    assert (result.robustness["missing_practices"], result.robustness["unfinished_attempts"]) == (0, 1)
    assert any(line.startswith("With 1 unfinished attempt put as good") for line in fragile_words(result))


# An outcome that the change cannot affect


def beside(kind: str, values: Sequence[float | None]) -> dict[str, Any]:
    sizes = {f"unaffected_{name}": [size] * len(values) for name, size in SIZES.get(kind, {}).items()}
    return {"unaffected": list(values)} | sizes


@pytest.mark.parametrize(("kind", "seed"), [("time", 0), ("count", 5), ("rating", 1), ("success", 2)])
def test_an_unaffected_outcome_that_moved_holds_better_back(kind: str, seed: int) -> None:
    values = values_of(kind, seed)
    assert found(kind, values).verdict == "better"
    result = found(kind, values, **beside(kind, values))
    assert result.verdict == "cannot tell yet"
    assert {"negative_control_moved", "held_back"} <= set(codes(result))
    assert "But the unaffected outcome, which the change cannot affect, moved as well." in result.allowed_sentence
    assert "Something else changed at the same time" in message(result, "negative_control_moved")
    told = result.robustness["negative_control"]
    # The same numbers in, the same numbers out.
    assert (told["estimate"], told["low"], told["high"], told["p"]) == (
        result.estimate, result.low, result.high, result.p
    )  # fmt: skip
    assert any("which the change cannot affect, moved:" in line for line in fragile_words(result))


@pytest.mark.parametrize(("kind", "seed"), [("time", 0), ("count", 5), ("rating", 1), ("success", 2)])
def test_an_unaffected_outcome_that_stayed_leaves_better_alone(kind: str, seed: int) -> None:
    values = values_of(kind, seed)
    steady = [values[i] for i in (0, 5, 2, 6, 1, 4, 7, 3)]
    result = found(kind, values, **beside(kind, [*values[:8], *steady]))
    assert result.verdict == "better"
    assert not {"negative_control_moved", "held_back"} & set(codes(result))
    told = result.robustness["negative_control"]
    assert told["low"] <= result.kind.no_effect <= told["high"]
    assert any("did not clearly move" in line for line in fragile_words(result))


def test_harm_is_said_whatever_else_moved() -> None:
    values = noisy_times(ONCE, ratio=1.3)
    result = found("time", values, **beside("time", values))
    assert result.verdict == "worse"


def test_an_unaffected_outcome_with_too_few_practices_cannot_vouch() -> None:
    values = noisy_times(ONCE, ratio=0.8)
    result = found("time", values, **beside("time", [*values[:10], *[None] * 6]))
    assert result.verdict == "better"
    assert result.robustness["negative_control"]["estimate"] is None
    assert "8 practices before and 2 after: at least 3 a side are needed." in message(
        result, "negative_control_unknown"
    )
    assert any("stayed as it was cannot be told" in line for line in fragile_words(result))


def test_the_unaffected_outcome_may_be_of_another_kind_and_bears_its_name() -> None:
    series = series_of(ONCE, noisy_times(ONCE, ratio=0.8))
    sleep = series_of(ONCE, [5, 6, 5, 7, 6, 5, 6, 6, 2, 3, 2, 3, 2, 2, 3, 2], kind="rating")
    result = assess(
        replace(series, unaffected=sleep), Options(sensitivity=False, worthwhile=0.97), labels=Labels(unaffected="pain")
    )
    told = result.robustness["negative_control"]
    assert (told["outcome"], told["kind"]) == ("pain", "rating") and told["high"] < 0
    assert "But pain, which the change cannot affect, moved as well." in result.allowed_sentence


def test_without_an_estimate_there_is_nothing_to_doubt() -> None:
    result = found("time", noisy_times([0] * 8 + [1] * 2, ratio=0.8), [0] * 8 + [1] * 2)
    assert fragile_words(result) == ()
    assert result.robustness["leave_one_out"] is None and result.robustness["hangs_on"] is None


def with_untouched(kind: str, *, shared: bool) -> Finding:
    """Counts alone by chance, or times whose good and bad days the untouched series shares."""
    rng = np.random.default_rng(11)
    n = 24
    phase = np.repeat([0, 1], n // 2)
    if kind == "count":
        value, control = rng.poisson(8.0, n).astype(float), rng.poisson(8.0, n).astype(float)
    else:
        days = 0.2 * rng.normal(size=n) if shared else np.zeros(n)
        value, control = np.exp(3 + days + 0.02 * rng.normal(size=n)), np.exp(3 + days + 0.02 * rng.normal(size=n))
    table = pl.DataFrame({"practice": range(n), "phase": phase, "value": value, "control": control})
    return assess(read_series(table, kind=kind), Options(sensitivity=False))


def test_an_untouched_series_of_counts_that_only_adds_chance_is_pointed_out() -> None:
    finding = with_untouched("count", shared=False)
    alone = finding.robustness["without_untouched"]
    assert finding.low is not None and finding.high is not None
    assert math.log(alone["high"] / alone["low"]) < math.log(finding.high / finding.low)
    assert "brings chance of its own" in message(finding, "noisy_comparison")
    assert any("Without the untouched series" in words for words in fragile_words(finding))


def test_an_untouched_series_that_shares_good_and_bad_days_is_not() -> None:
    finding = with_untouched("time", shared=True)
    assert finding.robustness["without_untouched"] is not None and "noisy_comparison" not in codes(finding)
