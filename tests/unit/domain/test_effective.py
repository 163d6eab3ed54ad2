"""What a step does at the dial practised at: a plain linear model (common practice, no source)."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from rampbook.domain.effective import Dial, dial_of, felt
from rampbook.domain.settings import DEFAULT, Setting, Step
from rampbook.domain.throw import OTHER

SHEET = {"turn_speed_min": 20.0, "turn_speed_max": 80.0, "deadband": 10.0, "throw_left": 60.0, "throw_right": 100.0}


def rows(*dials: float, named: bool = True) -> list[dict[str, Any]]:
    """Return practices, the latest first, on the days of March backwards."""
    return [
        {"practice": f"P{20 - i}", "on": date(2026, 3, 20 - i), "dial_percent": d, "named": named}
        for i, d in enumerate(dials)
    ]


def step(setting: str, value: float, old: float | None = None) -> Step:
    return Step(setting=setting, value=value, old_value=SHEET.get(setting) if old is None else old)


def dial(*percents: float) -> Dial | None:
    return dial_of(rows(*percents))


def test_the_dial_is_the_middle_of_the_last_five_practices() -> None:
    found = dial_of(rows(60, 50, 70, 60, 60, 0, 0))
    assert found == Dial(
        percent=60, low=50, high=70, practices=("P16", "P17", "P18", "P19", "P20"),
        first_on=date(2026, 3, 16), last_on=date(2026, 3, 20), named=True,
    )  # fmt: skip


def test_practices_that_name_the_profile_count_before_those_that_name_none() -> None:
    found = dial_of([*rows(30, named=False), *rows(80)])
    assert found is not None and (found.percent, found.named, len(found.practices)) == (80, True, 1)
    found = dial_of(rows(30, 40, named=False))
    assert found is not None and (found.percent, found.named) == (35, False)
    assert dial_of([]) is None


@pytest.mark.parametrize(
    ("setting", "to", "percent", "before", "after", "changes"),
    [
        ("turn_speed_max", 40, 100, 80, 40, True),
        ("turn_speed_max", 40, 50, 50, 30, True),
        ("turn_speed_max", 40, 0, 20, 20, False),
        ("turn_speed_max", 40, 4, 22.4, 20.8, False),
        ("turn_speed_min", 10, 100, 80, 80, False),
        ("turn_speed_min", 10, 25, 35, 27.5, True),
    ],
)
def test_a_step_counts_by_its_share_at_the_dial(
    setting: str, to: float, percent: float, before: float, after: float, changes: bool
) -> None:
    found = felt(SHEET, step(setting, to), dial(percent))
    assert found.quantity == "turn speed"
    assert found.changes is changes
    assert len(found.at) == 1
    assert found.at[0].dial_percent == percent
    assert found.at[0].before == pytest.approx(before, rel=1e-12)
    assert found.at[0].after == pytest.approx(after, rel=1e-12)
    assert found.at[0].change == pytest.approx(after - before, abs=1e-12)


def test_a_dial_that_moved_counts_where_it_matters_most() -> None:
    found = felt(SHEET, step("turn_speed_max", 40), dial(0, 0, 60))
    assert found.changes is True
    assert [at.dial_percent for at in found.at] == [0, 60]


def test_without_a_dial_both_ends_are_told_and_nothing_is_claimed() -> None:
    found = felt(SHEET, step("turn_speed_max", 40), None)
    assert found.changes is None
    told = [(at.dial_percent, at.before, at.after, at.change) for at in found.at]
    assert told == [(0, 20, 20, 0), (100, 80, 40, -40)]


def test_the_change_is_known_even_where_the_other_end_is_not() -> None:
    found = felt({"turn_speed_max": 80.0}, step("turn_speed_max", 40), dial(50))
    assert [(at.before, at.after, at.change) for at in found.at] == [(None, None, -20)]
    unknown = Step(setting="turn_speed_max", value=40, old_value=None)
    assert felt({"turn_speed_min": 20.0}, unknown, dial(50)).at[0].change is None
    assert felt({"turn_speed_min": 20.0}, unknown, dial(50)).changes is True


def test_crossed_ends_have_no_value_in_force() -> None:
    crossed = {"turn_speed_min": 90.0, "turn_speed_max": 80.0}
    at = felt(crossed, step("turn_speed_max", 95), dial(50)).at[0]
    assert (at.before, at.after, at.change) == (None, 92.5, 7.5)


def test_throw_and_deadband_change_the_gain_wherever_the_dial_stands() -> None:
    # gain = 1 / (T - d): domain arithmetic, 1 / (0.6 - 0.1) = 2 and 1 / (0.5 - 0.1) = 2.5.
    found = felt(SHEET, step("throw_left", 50), dial(10))
    assert (found.changes, found.at[0].dial_percent) == (True, None)
    assert found.at[0].before == pytest.approx(2.0)
    assert found.at[0].after == pytest.approx(2.5)
    found = felt(SHEET, step("deadband", 20), None)
    assert found.quantity == "gain left near the centre"
    assert found.changes is True
    assert found.at[0].after == pytest.approx(2.5)
    assert felt({"throw_left": 60.0}, step("throw_left", 50), None).at[0].change is None
    assert felt({"deadband": 10.0}, step("deadband", 5), None).at[0].change is None


def test_a_throw_of_the_other_meaning_rises_with_its_number() -> None:
    # Half of full command at full travel: the line out of the deadband rises by 0.5 / (1 - 0.1).
    found = felt(SHEET, step("throw_left", 100, 50), None, throw=OTHER)
    assert found.at[0].after == pytest.approx(1 / 0.9)
    assert felt({**SHEET, "throw_left": 50.0}, step("throw_left", 100, 50), None, throw=OTHER).at[0].before == (
        pytest.approx(0.5 / 0.9)
    )


def test_of_a_club_setting_nothing_is_claimed() -> None:
    club = DEFAULT.extend([Setting(name="tremor_filter", unit="1", low=0, high=5), Setting(name="boost_max", unit="1")])
    for name in ("tremor_filter", "boost_max"):
        found = felt({}, Step(setting=name, value=3, old_value=1), dial(50), club)
        assert (found.changes, found.at) == (None, ())
