"""What the record must show for each rung, and what makes a rung fall (the project's table of rungs)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rampbook.evidence.assess import Options, assess
from rampbook.evidence.facts import Facts
from rampbook.evidence.finding import Finding
from rampbook.evidence.rungs import phases_long_enough
from tests.evidence.make_series import noisy_times, series_of

QUICK = Options(sensitivity=False)
ONCE = [0] * 8 + [1] * 8
BACK = [0] * 5 + [1] * 5 + [0] * 5 + [1] * 5


def found(phases: list[int], facts: Facts | None = None, *, ratio: float = 0.8, **columns: Any) -> Finding:
    series = series_of(phases, noisy_times(phases, ratio=ratio), **columns)
    return assess(series, QUICK, facts or Facts())


def test_two_practices_on_a_side_are_only_noted() -> None:
    result = found([0] * 8 + [1] * 2)
    assert result.rung == "noted"
    assert result.estimate is None and result.low is None and result.p is None
    assert result.allowed_sentence == "Changed on this date; too few practices to compare."
    assert result.warnings[0].code == "not_estimated"


def test_three_on_either_side_are_before_after() -> None:
    assert found([0] * 4 + [1] * 3).rung == "before-after"


def test_an_untouched_series_makes_it_compared() -> None:
    control = noisy_times([0] * 16, ratio=1.0, seed=5)
    result = found(ONCE, control=control)
    assert result.rung == "compared"
    assert "untouched series" in result.allowed_sentence


def test_an_untouched_series_with_two_practices_on_a_side_does_not_count() -> None:
    control = [11.9] * 8 + [12.0, 12.1] + [None] * 6
    result = found(ONCE, control=control)
    assert result.rung == "before-after"
    assert "control_too_thin" in [w.code for w in result.warnings]


def test_three_demonstrations_make_it_repeated() -> None:
    result = found(BACK)
    assert result.rung == "repeated"
    assert "came and went with the setting" in result.allowed_sentence


def test_there_and_back_once_is_not_repeated() -> None:
    """Kratochwill et al. 2010: three demonstrations are needed (from memory); two crossings give two."""
    assert found([0] * 6 + [1] * 6 + [0] * 6).rung == "before-after"


def test_no_effect_is_never_repeated() -> None:
    assert found(BACK, ratio=1.0).rung == "before-after"


def test_only_a_lot_with_a_declared_outcome_is_randomised() -> None:
    assert found(BACK, Facts(drawn_by_lot=True, declared=True)).rung == "randomised"
    assert found(BACK, Facts(drawn_by_lot=True)).rung == "repeated"


@pytest.mark.parametrize(
    "facts",
    [
        Facts(simultaneous=("turn_speed_max",)),
        Facts(nothing_changed="at the dial practised at, forward speed was 15 before and 15 after"),
        Facts(disturbances=("another joystick on 2026-02-01",)),
    ],
)
def test_what_confounds_a_change_brings_it_down_to_noted(facts: Facts) -> None:
    result = found(ONCE, facts)
    assert result.rung == "noted"
    assert "cannot be told" in result.allowed_sentence or "nothing changed for the chair" in result.allowed_sentence


JOYSTICK = Facts(disturbances=("another joystick on 2026-02-01",))


def test_a_joystick_in_the_window_takes_one_rung() -> None:
    control = noisy_times([0] * 20, ratio=1.0, seed=5)
    assert found(BACK, JOYSTICK, control=control).rung == "compared"


def test_a_fall_never_lands_on_a_rung_that_the_design_does_not_have() -> None:
    """Without an untouched series none is spoken of; what changed once by lot did not come and go."""
    result = found(BACK, JOYSTICK)
    assert result.rung == "before-after" and "untouched series" not in result.allowed_sentence
    drawn = replace(JOYSTICK, drawn_by_lot=True, declared=True)
    assert found(ONCE, drawn).rung == "before-after"
    assert found(BACK, drawn).rung == "repeated"


@pytest.mark.parametrize(("ratio", "least"), [(0.8, 0.95), (1.0, 0.7)])
def test_a_change_that_is_only_noted_is_neither_better_nor_without_difference(ratio: float, least: float) -> None:
    series = series_of(ONCE, noisy_times(ONCE, ratio=ratio))
    options = Options(sensitivity=False, worthwhile=least)
    assert assess(series, options).verdict == ("better" if ratio < 1 else "no worthwhile difference")
    result = assess(series, options, JOYSTICK)
    assert (result.rung, result.verdict, result.practices_to_settle) == ("noted", "cannot tell yet", None)


def test_a_change_that_is_only_noted_is_still_called_worse() -> None:
    assert (found(ONCE, JOYSTICK, ratio=1.25).rung, found(ONCE, JOYSTICK, ratio=1.25).verdict) == ("noted", "worse")


def test_missing_more_than_a_tenth_takes_a_rung() -> None:
    times: list[float | None] = list(noisy_times(ONCE, ratio=0.8))
    times[2] = times[5] = None
    result = assess(series_of(ONCE, times), QUICK)  # type: ignore[arg-type]
    assert result.rung == "noted"
    assert "2 of 16 practices gave no value" in result.allowed_sentence


def test_unfinished_attempts_that_moved_take_a_rung() -> None:
    finished = [0, 0, 0, 1, 1, 1, 1, 1] + [1] * 8
    result = found(ONCE, finished=finished)
    assert result.rung == "noted"
    assert any("3 of 16 attempts were not finished" in w.message for w in result.warnings)


def test_reacting_to_a_bad_spell_takes_a_rung() -> None:
    times = noisy_times(ONCE, ratio=1.0)
    times[6], times[7] = 14.5, 15.0
    series = series_of(ONCE, times)
    assert assess(series, QUICK, Facts(reacting=True)).rung == "noted"
    unknown = assess(series, QUICK)
    assert unknown.rung == "before-after" and "bad_spell" in [w.code for w in unknown.warnings]


@pytest.mark.parametrize(
    ("phases", "enough"),
    [
        ([0, 0, 0, 1, 1, 1, 0, 0, 0, 1, 1, 1], True),
        ([0, 0, 0, 0, 1, 1, 0, 0, 0, 1, 1, 1], False),
        ([0, 1] * 4, True),
        ([0, 1] * 3, False),
        ([0, 1, 1, 1, 0, 1, 0, 1, 0, 0], False),
    ],
)
def test_phase_lengths_follow_the_single_case_standards(phases: list[int], enough: bool) -> None:
    """Kratochwill et al. 2010: 3 a phase with reservations; alternating 4 each, at most 2 in a row (from memory)."""
    assert phases_long_enough(series_of(phases, [12.0] * len(phases))) is enough
