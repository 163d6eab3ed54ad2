"""Claims about orders of steps, held against every state that there is: small clubs of their own, rules at random."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.domain.effective import dial_of, felt
from rampbook.domain.orders import safe_order, steps_to_all, way_back, why_not_together
from rampbook.domain.rules import effective_value
from rampbook.domain.settings import (
    DEFAULT,
    Catalogue,
    Rule,
    Setting,
    Step,
    broken_rules,
    check_sheet,
    steps_to,
    why_impossible,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A club's settings and rules, a sheet that may break them or lack values, and what is wished."""

    catalogue: Catalogue
    sheet: dict[str, float]
    wishes: dict[str, float]
    grid: tuple[float, ...]

    @property
    def is_clean(self) -> bool:
        """Whether the sheet keeps its rules and its bounds."""
        inside = (self.catalogue.settings[n].low <= v <= self.catalogue.settings[n].high for n, v in self.sheet.items())
        return not broken_rules(self.sheet, self.catalogue) and all(inside)


@st.composite
def cases(draw: st.DrawFn, most_wishes: int) -> Case:
    """Draw a club of two to four settings; strict rules in chains of no more than two, so that the grid stays small."""
    names = "abcd"[: draw(st.integers(2, 4))]
    lows = draw(st.tuples(*[st.sampled_from([0.0, 0.0, 1.0])] * len(names)))
    steps = draw(st.tuples(*[st.sampled_from([0.5, 1.0])] * len(names)))
    pairs = [(low, high) for i, low in enumerate(names) for high in names[i + 1 :]]
    chosen = draw(st.lists(st.sampled_from(pairs), unique=True))
    strict = draw(st.booleans()) and len(names) < 4
    highs = draw(st.tuples(*[st.sampled_from([2.0, 2.0 if strict else 3.0])] * len(names)))
    catalogue = Catalogue(
        settings=MappingProxyType(
            {
                name: Setting(name=name, unit="1", low=low, high=high, step=step)
                for name, low, high, step in zip(names, lows, highs, steps, strict=True)
            }
        ),
        rules=tuple(Rule(lower=low, upper=high, strict=strict) for low, high in chosen),
    )
    top = 2 if strict else 3
    numbers = st.integers(0, top).map(float)
    sheet = draw(st.fixed_dictionaries({}, optional=dict.fromkeys(names, numbers)))
    wishes = draw(st.dictionaries(st.sampled_from(names), numbers, min_size=1, max_size=most_wishes))
    # Between two whole numbers as many values as a strict chain can need.
    parts = 3 if strict else 1
    grid = tuple(i / parts for i in range(top * parts + 1))
    return Case(catalogue=catalogue, sheet=sheet, wishes=wishes, grid=grid)


def fewest(case: Case, *, is_reached: bool) -> int | None:
    """Return the fewest steps on the grid, every state visited; None when the wishes cannot be had.

    ``is_reached`` is whether a wish must stand; else it counts as reached where it may be set, one step more.
    The rules are read anew here, not by the functions under test.
    """
    names = sorted(case.sheet.keys() | (case.wishes.keys() if is_reached else ()))
    at = {name: i for i, name in enumerate(names)}
    wished = {at.setdefault(name, len(at)): value for name, value in case.wishes.items()}
    bounds = {at[n]: (s.low, s.high) for n, s in case.catalogue.settings.items() if n in at}
    below: dict[int, list[tuple[int, bool]]] = {i: [] for i in at.values()}
    above: dict[int, list[tuple[int, bool]]] = {i: [] for i in at.values()}
    for rule in case.catalogue.rules:
        if rule.lower in at and rule.upper in at:
            below[at[rule.upper]].append((at[rule.lower], rule.strict))
            above[at[rule.lower]].append((at[rule.upper], rule.strict))

    def may_be(state: tuple[float | None, ...], i: int, value: float) -> bool:
        low, high = bounds[i]
        for others, sign in ((below[i], 1), (above[i], -1)):
            for j, strict in others:
                other = state[j] if j < len(state) else None
                if other is not None and (sign * (value - other) < 0 or (strict and value == other)):
                    return False
        return low <= value <= high

    start = tuple(case.sheet.get(name) for name in names)
    seen, queue = {start}, deque([(start, 0)])
    while queue:
        state, n_steps = queue.popleft()
        stands = not is_reached or all(state[i] == value for i, value in wished.items())
        if stands and all(may_be(state, i, value) for i, value in wished.items()):
            return n_steps
        for i in range(len(state)):
            for wanted in case.grid if state[i] is not None or i in wished else ():
                after = (*state[:i], wanted, *state[i + 1 :])
                if after not in seen and may_be(state, i, wanted):
                    seen.add(after)
                    queue.append((after, n_steps + 1))
    return None


def walked(sheet: Mapping[str, float], steps: list[Step], catalogue: Catalogue) -> dict[str, float]:
    """Return the sheet after the steps; no step may break a rule, none may do nothing, each knows its old value."""
    here = dict(sheet)
    for step in steps:
        assert check_sheet(here, step.setting, step.value, catalogue) == []
        assert step.old_value == here.get(step.setting)
        here[step.setting] = step.value
    return here


@settings(deadline=None, max_examples=2500)
@given(case=cases(most_wishes=1))
def test_the_order_to_one_wish_is_the_shortest_there_is(case: Case) -> None:
    ((setting, value),) = case.wishes.items()
    steps = steps_to(case.sheet, setting, value, case.catalogue)
    least = fewest(case, is_reached=False)
    assert len(steps) == (0 if least is None else least + 1)
    assert (why_impossible(case.sheet, setting, value, case.catalogue) is None) == (least is not None)
    if steps:
        assert walked(case.sheet, steps, case.catalogue)[setting] == value


@settings(deadline=None, max_examples=1500)
@given(case=cases(most_wishes=3))
def test_the_order_to_several_wishes_is_the_shortest_there_is(case: Case) -> None:
    steps = steps_to_all(case.sheet, case.wishes, case.catalogue)
    least = fewest(case, is_reached=True)
    assert len(steps) == (least or 0)
    assert (why_not_together(case.sheet, case.wishes, case.catalogue) is None) == (least is not None)
    if steps:
        after = walked(case.sheet, steps, case.catalogue)
        assert {name: after[name] for name in case.wishes} == case.wishes


@settings(deadline=None, max_examples=1000)
@given(case=cases(most_wishes=2))
def test_what_can_go_back_does_and_breaks_no_rule_on_the_way(case: Case) -> None:
    steps = steps_to_all(case.sheet, case.wishes, case.catalogue)
    after = walked(case.sheet, steps, case.catalogue)
    back = way_back(case.sheet, steps, case.catalogue)
    returned = walked(after, list(back.steps), case.catalogue)
    for step in back.steps:
        assert returned[step.setting] == case.sheet[step.setting]
    moved = {step.setting for step in steps if after[step.setting] != case.sheet.get(step.setting)}
    assert moved == {step.setting for step in back.steps} | {name for name, _ in back.stuck}
    if case.is_clean and case.wishes.keys() <= case.sheet.keys():
        assert returned == case.sheet


@settings(deadline=None, max_examples=1000)
@given(case=cases(most_wishes=4), data=st.data())
def test_a_bundle_gets_an_order_whenever_one_exists(case: Case, data: st.DataObject) -> None:
    known = {name: value for name, value in case.wishes.items() if name in case.sheet}
    moves = dict(data.draw(st.permutations(list(known.items()))))
    steps = safe_order(case.sheet, moves, case.catalogue)

    def any_order(here: dict[str, float], left: frozenset[str]) -> bool:
        return not left or any(
            any_order({**here, name: moves[name]}, left - {name})
            for name in left
            if not check_sheet(here, name, moves[name], case.catalogue)
        )

    assert bool(steps) == (bool(moves) and any_order(case.sheet, frozenset(moves)))
    if steps:
        assert walked(case.sheet, steps, case.catalogue) == {**case.sheet, **moves}


@settings(deadline=None, max_examples=1000)
@given(
    low=st.integers(0, 100), high=st.integers(0, 100), to=st.integers(0, 100), end=st.sampled_from(["max", "min"]),
    dials=st.lists(st.integers(0, 100), max_size=3),
)  # fmt: skip
def test_a_step_is_housekeeping_only_where_the_value_in_force_hardly_moves(
    low: int, high: int, to: int, end: str, dials: list[int]
) -> None:
    low, high = sorted((low, high))
    here = {"turn_speed_min": float(low), "turn_speed_max": float(high)}
    step = Step(setting=f"turn_speed_{end}", value=float(to), old_value=here[f"turn_speed_{end}"])
    if check_sheet(here, step.setting, step.value):
        return
    rows = [{"practice": str(i), "on": None, "dial_percent": float(d), "named": True} for i, d in enumerate(dials)]
    found = felt(here, step, dial_of(rows), DEFAULT)
    then = {**here, step.setting: step.value}
    moves = [
        effective_value(then["turn_speed_min"], then["turn_speed_max"], at)
        - effective_value(here["turn_speed_min"], here["turn_speed_max"], at)
        for at in dials or (0, 100)
    ]
    for at in found.at:
        assert at.before is not None and at.after is not None and at.change == at.after - at.before
    share = [abs(move) / abs(step.value - here[step.setting]) if to != here[step.setting] else 0 for move in moves]
    if found.changes is None:
        assert not dials
    elif found.changes is False:
        assert max(share) <= 0.05 + 1e-9
    else:
        assert max(share) > 0.05 - 1e-9
