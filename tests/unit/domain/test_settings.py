"""The rules of the settings. All of them are common practice, no source."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from rampbook.domain.catalogue import _RAMPED
from rampbook.domain.settings import (
    DEFAULT,
    Block,
    Catalogue,
    Rule,
    Scale,
    Setting,
    broken_rules,
    check_sheet,
    effective_value,
    steps_to,
    unchecked_rules,
    why_impossible,
)
from rampbook.errors import EntryError

CONTRACT_NAMES = {
    *(
        f"{base}_{end}"
        for base in (
            "forward_speed", "reverse_speed", "turn_speed", "acceleration", "deceleration",
            "turn_acceleration", "turn_deceleration",
        )
        for end in ("max", "min")
    ),
    "throw_forward", "throw_reverse", "throw_left", "throw_right", "deadband",
}  # fmt: skip


def moves(sheet: dict[str, float], setting: str, value: float) -> list[tuple[str, float]]:
    return [(step.setting, step.value) for step in steps_to(sheet, setting, value)]


def test_the_catalogue_holds_exactly_the_named_settings() -> None:
    assert set(DEFAULT.settings) == CONTRACT_NAMES
    assert all((s.low, s.high) == (0, 100) and s.meaning for s in DEFAULT.settings.values())


@pytest.mark.parametrize("base", _RAMPED)
def test_a_maximum_cannot_be_below_its_minimum(base: str) -> None:
    blocks = check_sheet({f"{base}_min": 30}, f"{base}_max", 20)
    assert blocks == [Block(setting=f"{base}_min", value=30, rule=f"{base}_max can't be below {base}_min")]
    assert check_sheet({f"{base}_min": 30}, f"{base}_max", 30) == []


@pytest.mark.parametrize("end", ["max", "min"])
def test_reverse_speed_cannot_exceed_forward_speed(end: str) -> None:
    forward, reverse = f"forward_speed_{end}", f"reverse_speed_{end}"
    rule = f"{reverse} can't be above {forward}"
    assert check_sheet({forward: 40}, reverse, 41) == [Block(setting=forward, value=40, rule=rule)]
    assert check_sheet({reverse: 40}, forward, 39) == [Block(setting=reverse, value=40, rule=rule)]
    assert check_sheet({forward: 40}, reverse, 40) == []


def test_a_throw_must_be_above_the_deadband() -> None:
    assert check_sheet({"deadband": 10}, "throw_left", 10)[0].rule == "throw_left must be above deadband"
    assert check_sheet({"deadband": 10}, "throw_left", 11) == []
    assert [b.setting for b in check_sheet({"throw_left": 50, "throw_right": 20}, "deadband", 30)] == [
        "throw_right"
    ]


@pytest.mark.parametrize("value", [-1, 100.5])
def test_a_value_outside_its_bounds_is_blocked(value: float) -> None:
    blocks = check_sheet({}, "acceleration_max", value)
    assert blocks == [
        Block(setting="acceleration_max", value=value, rule="acceleration_max must be from 0 to 100")
    ]


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_a_number_is_refused(value: float) -> None:
    with pytest.raises(EntryError, match=r"acceleration_max is (nan|inf|-inf): it must be a number"):
        check_sheet({}, "acceleration_max", value)


def test_an_unknown_setting_is_answered_with_close_names() -> None:
    with pytest.raises(
        EntryError, match=r'no setting "forward_speed". Did you mean forward_speed_max, forward'
    ):
        check_sheet({}, "forward_speed", 3)
    with pytest.raises(EntryError, match=r'no setting "xyz". Known are forward_speed_max, '):
        check_sheet({}, "xyz", 3)


def test_a_rule_with_an_unknown_value_does_not_block_but_is_reported() -> None:
    assert check_sheet({"forward_speed_min": 10}, "forward_speed_max", 20) == []
    unchecked = unchecked_rules({"forward_speed_min": 10}, "forward_speed_max")
    assert [(u.setting, u.reason) for u in unchecked] == [
        ("reverse_speed_max", "reverse_speed_max is not on the sheet")
    ]
    assert (
        unchecked_rules({"forward_speed_min": 10, "reverse_speed_max": math.nan}, "forward_speed_max")
        == unchecked
    )


def test_numbers_of_two_scales_are_never_compared() -> None:
    turned = Scale(id="stick_left_over", definition="percent of travel left when the command reaches 100%")
    other = DEFAULT.extend([replace(DEFAULT.settings["throw_left"], scale=turned)])
    assert check_sheet({"deadband": 50}, "throw_left", 10, other) == []
    assert "different scales" in unchecked_rules({"deadband": 50}, "throw_left", other)[0].reason
    assert broken_rules({"deadband": 50, "throw_left": 10}, other) == []
    assert [s.setting for s in steps_to({"deadband": 50}, "throw_left", 10, other)] == ["throw_left"]


def test_scales_with_one_id_and_two_definitions_are_two_scales() -> None:
    ours = DEFAULT.settings["throw_left"]
    other = DEFAULT.extend([replace(ours, scale=Scale(id=ours.scale.id, definition="something else"))])
    assert check_sheet({"deadband": 50}, "throw_left", 10, other) == []


def test_a_club_can_extend_the_catalogue() -> None:
    club = DEFAULT.extend(
        [Setting(name="tremor_filter", unit="1", low=0, high=5, meaning="how much shaking is smoothed")],
        [Rule(lower="tremor_filter", upper="acceleration_max")],
    )
    assert check_sheet({}, "tremor_filter", 6, club)[0].rule == "tremor_filter must be from 0 to 5"
    assert check_sheet({"acceleration_max": 2}, "tremor_filter", 3, club)
    assert "tremor_filter" not in DEFAULT.settings


def test_an_impossible_catalogue_is_refused() -> None:
    with pytest.raises(EntryError, match="smallest value 5 is not below its largest 5"):
        DEFAULT.extend([Setting(name="x", unit="1", low=5, high=5)])
    with pytest.raises(EntryError, match='no setting "ghost"'):
        DEFAULT.extend(rules=[Rule(lower="ghost", upper="deadband")])
    with pytest.raises(EntryError, match="run in a circle"):
        DEFAULT.extend(rules=[Rule(lower="forward_speed_max", upper="reverse_speed_min")])
    with pytest.raises(EntryError, match="smallest value nan"):
        Catalogue(settings={"x": Setting(name="x", unit="1", low=math.nan)})


def test_lowering_the_forward_maximum_lowers_the_reverse_maximum_first() -> None:
    sheet = {"forward_speed_max": 80.0, "reverse_speed_max": 60.0, "reverse_speed_min": 10.0}
    assert moves(sheet, "forward_speed_max", 50) == [("reverse_speed_max", 50), ("forward_speed_max", 50)]
    assert [s.old_value for s in steps_to(sheet, "forward_speed_max", 50)] == [60, 80]


def test_a_chain_of_four_is_taken_from_its_far_end() -> None:
    sheet = {
        "forward_speed_max": 80.0, "forward_speed_min": 40.0,
        "reverse_speed_max": 60.0, "reverse_speed_min": 30.0,
    }  # fmt: skip
    down = moves(sheet, "forward_speed_max", 20)
    assert down[0] == ("reverse_speed_min", 20)
    assert {name for name, _ in down[1:3]} == {"forward_speed_min", "reverse_speed_max"}
    assert down[3] == ("forward_speed_max", 20)
    up = moves(sheet, "reverse_speed_min", 90)
    assert up[0] == ("forward_speed_max", 90)
    assert up[3] == ("reverse_speed_min", 90)


def test_an_allowed_wish_is_one_step() -> None:
    assert moves({"forward_speed_max": 80.0}, "forward_speed_max", 70) == [("forward_speed_max", 70)]
    assert why_impossible({"forward_speed_max": 80.0}, "forward_speed_max", 70) is None


def test_a_throw_below_the_deadband_lowers_the_deadband_by_a_whole_step() -> None:
    assert moves({"deadband": 10.0, "throw_left": 60.0}, "throw_left", 8) == [
        ("deadband", 7),
        ("throw_left", 8),
    ]
    # No whole step fits above the lowest value, so the lowest value is taken.
    assert moves({"deadband": 10.0, "throw_left": 60.0}, "throw_left", 0.5)[0] == ("deadband", 0)


def test_an_impossible_wish_has_no_steps_and_a_reason() -> None:
    sheet = {"deadband": 10.0, "throw_left": 60.0}
    assert steps_to(sheet, "throw_left", 0) == []
    assert why_impossible(sheet, "throw_left", 0) == "deadband would have to go below its smallest value, 0"
    assert (
        why_impossible(sheet, "deadband", 100) == "throw_left would have to go above its largest value, 100"
    )
    assert why_impossible(sheet, "deadband", 101) == "deadband must be from 0 to 100"


def test_a_sheet_that_breaks_a_rule_and_cannot_be_mended_says_so() -> None:
    sheet = {"deadband": 100.0, "throw_left": 0.0}
    assert broken_rules(sheet) == [Rule(lower="deadband", upper="throw_left", strict=True)]
    assert steps_to(sheet, "throw_left", 50) == []
    assert "the sheet itself breaks a rule (throw_left must be above deadband)" in str(
        why_impossible(sheet, "throw_left", 50)
    )


def test_a_sheet_that_breaks_a_rule_is_mended_on_the_way() -> None:
    sheet = {"forward_speed_max": 40.0, "reverse_speed_max": 80.0}
    assert moves(sheet, "forward_speed_max", 50) == [("reverse_speed_max", 40), ("forward_speed_max", 50)]


@pytest.mark.parametrize(
    ("minimum", "maximum", "dial", "expected"),
    [(10, 20, 50, 15), (10, 20, 0, 10), (10, 20, 100, 20), (0.1, 0.1, 33, 0.1), (30, 80, 20, 40)],
)
def test_the_value_in_force_is_linear_along_the_dial(
    minimum: float, maximum: float, dial: float, expected: float
) -> None:
    assert effective_value(minimum, maximum, dial) == pytest.approx(expected, rel=1e-15)


def test_an_impossible_dial_or_pair_is_refused() -> None:
    with pytest.raises(EntryError, match="speed dial is 101%"):
        effective_value(10, 20, 101)
    with pytest.raises(EntryError, match="speed dial is nan%"):
        effective_value(10, 20, math.nan)
    with pytest.raises(EntryError, match="maximum 10 is below the minimum 20"):
        effective_value(20, 10, 50)
