"""Claims about the rules of the settings that hold whatever the sheet is."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.domain.response import command_share
from rampbook.domain.settings import (
    DEFAULT,
    Catalogue,
    broken_rules,
    check_sheet,
    effective_value,
    steps_to,
    why_impossible,
)

SPEEDS = ("forward_speed_max", "forward_speed_min", "reverse_speed_max", "reverse_speed_min")
STICK = ("deadband", "throw_forward", "throw_left")
GRID = (0.0, 1.0, 2.0, 3.0)
SMALL = DEFAULT.extend([replace(setting, high=3.0) for setting in DEFAULT.settings.values()])

grid_sheets = st.sampled_from([SPEEDS, STICK]).flatmap(
    lambda names: st.fixed_dictionaries({}, optional={name: st.sampled_from(GRID) for name in names})
)
values = st.one_of(st.integers(0, 100).map(float), st.floats(0, 100))
sheets = st.fixed_dictionaries({}, optional=dict.fromkeys(DEFAULT.settings, values))
names = st.sampled_from(list(DEFAULT.settings))


def shortest_by_trying_everything(
    sheet: Mapping[str, float], setting: str, value: float, catalogue: Catalogue
) -> int:
    """Return the fewest steps on the grid, 0 when the wish cannot be reached; every state is visited."""
    known = sorted(sheet)
    start = tuple(sheet[name] for name in known)
    seen, queue = {start}, deque([(start, 1)])
    while queue:
        state, n_steps = queue.popleft()
        here = dict(zip(known, state, strict=True))
        if not check_sheet(here, setting, value, catalogue):
            return n_steps
        for i, name in enumerate(known):
            for wanted in GRID:
                after = (*state[:i], wanted, *state[i + 1 :])
                if after not in seen and not check_sheet(here, name, wanted, catalogue):
                    seen.add(after)
                    queue.append((after, n_steps + 1))
    return 0


@settings(deadline=None, max_examples=300)
@given(sheet=grid_sheets, value=st.sampled_from(GRID), data=st.data())
def test_no_order_is_shorter_and_no_reachable_wish_is_called_impossible(
    sheet: dict[str, float], value: float, data: st.DataObject
) -> None:
    setting = data.draw(st.sampled_from(SPEEDS if set(sheet) & set(SPEEDS) else STICK))
    steps = steps_to(sheet, setting, value, SMALL)
    assert len(steps) == shortest_by_trying_everything(sheet, setting, value, SMALL)


@settings(deadline=None, max_examples=1500)
@given(sheet=sheets, setting=names, value=values)
def test_no_step_ever_breaks_a_rule(sheet: dict[str, float], setting: str, value: float) -> None:
    here, broken = dict(sheet), len(broken_rules(sheet))
    steps = steps_to(sheet, setting, value)
    for step in steps:
        assert step.old_value == here.get(step.setting)
        assert check_sheet(here, step.setting, step.value) == []
        here[step.setting] = step.value
        assert len(broken_rules(here)) <= broken
    if steps:
        assert (steps[-1].setting, steps[-1].value) == (setting, value)
        # A sheet that breaks a rule may need a setting out of the way first, so that it moves twice.
        assert broken or len({step.setting for step in steps}) == len(steps)
    else:
        assert why_impossible(sheet, setting, value)


@settings(deadline=None, max_examples=1500)
@given(sheet=sheets, setting=names, value=values)
def test_a_sheet_that_keeps_its_rules_reaches_every_wish_inside_the_bounds(
    sheet: dict[str, float], setting: str, value: float
) -> None:
    tied = dict(sheet)
    for rule in broken_rules(sheet):
        tied.pop(rule.lower, None)
    # Only a deadband at its top or a throw at its bottom leaves no room for the strict rule.
    if (setting.startswith("throw_") and value == 0) or (setting == "deadband" and value == 100):
        return
    assert steps_to(tied, setting, value)


@given(
    deadband=st.floats(0, 0.8), width=st.floats(0.05, 1), low=st.floats(0, 1.5), high=st.floats(0, 1.5)
)  # fmt: skip
def test_command_is_zero_inside_the_deadband_and_never_falls(
    deadband: float, width: float, low: float, high: float
) -> None:
    low, high = sorted((low, high))
    throw = deadband + width
    at_low = command_share(low, deadband=deadband, throw=throw)
    at_high = command_share(high, deadband=deadband, throw=throw)
    assert 0 <= at_low <= at_high <= 1
    if high <= deadband:
        assert at_high == 0
    if low >= throw:
        assert at_low == 1
    # Continuous: never steeper than its slope, at the edge as elsewhere.
    assert at_high - at_low <= (high - low) / (throw - deadband) + 1e-12


@given(low=values, high=values, dial=st.floats(0, 100))
def test_the_value_in_force_stays_between_minimum_and_maximum(low: float, high: float, dial: float) -> None:
    low, high = sorted((low, high))
    assert low <= effective_value(low, high, dial) <= high
