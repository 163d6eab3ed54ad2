"""What differs between two sheets, and when numbers of two chairs may be compared at all."""

from __future__ import annotations

from datetime import date

import pytest

from rampbook.domain.sheet_diff import ChairScale, Stood, days_apart, not_comparable, sheets_apart, throw_not_comparable


def stood(value: float, day: int, place: int, *, setting: str = "deadband", profile: int = 1) -> Stood:
    return Stood(
        chair="W01",
        profile=profile,
        setting=setting,
        value=value,
        since=date(2026, 1, day),
        change=None if place == 1 else f"CH{place}",
        place=place,
    )


def test_two_days_name_every_change_between_them_and_none_outside() -> None:
    every = [stood(8, 1, 1), stood(9, 3, 2), stood(10, 5, 3), stood(11, 9, 4)]
    (row,) = days_apart([every[1]], [every[2]], every)
    assert (row.left, row.right, row.between) == (every[1], every[2], (every[2],))
    (row,) = days_apart([every[0]], [every[3]], every)
    assert [s.change for s in row.between] == ["CH2", "CH3", "CH4"]
    assert not row.is_same and not row.there_and_back


def test_a_value_that_went_and_came_back_is_the_same_but_is_not_hidden() -> None:
    every = [stood(8, 1, 1), stood(9, 3, 2), stood(8, 5, 3)]
    (row,) = days_apart([every[0]], [every[2]], every)
    assert row.is_same and row.there_and_back
    (unmoved,) = days_apart([every[0]], [every[0]], every)
    assert unmoved.is_same and not unmoved.there_and_back and unmoved.between == ()


def test_a_setting_that_only_one_day_knows_has_an_empty_side() -> None:
    first, later = stood(8, 1, 1), stood(30, 4, 1, setting="throw_left")
    rows = days_apart([first], [first, later], [first, later])
    assert [(row.setting, row.left, row.between) for row in rows] == [
        ("deadband", first, ()),
        ("throw_left", None, (later,)),
    ]
    assert not rows[1].is_same


def test_settings_of_one_name_on_two_profiles_are_not_mixed_between_days() -> None:
    one, two = stood(8, 1, 1), stood(20, 1, 1, profile=2)
    moved = stood(21, 4, 2, profile=2)
    rows = days_apart([one, two], [one, moved], [one, two, moved])
    assert [(row.is_same, row.between) for row in rows] == [(True, ()), (False, (moved,))]


def test_two_profiles_stand_beside_each_other_by_setting() -> None:
    left, right = [stood(8, 1, 1)], [stood(8, 2, 2, profile=2), stood(30, 1, 1, setting="throw_left", profile=2)]
    rows = sheets_apart(left, right, key=lambda s: (s.chair, s.setting))
    assert [(row.setting, row.is_same, row.between) for row in rows] == [
        ("deadband", True, (left[0], right[0])),
        ("throw_left", False, (right[1],)),
    ]


@pytest.mark.parametrize(
    ("left", "right", "reason"),
    [
        (("W01", "a", None), ("W02", "a", None), None),
        (("W01", "a", "0 to 100"), ("W02", "a", None), None),
        (("W01", "a", "0 to 100"), ("W02", "a", " 0  to 100"), None),
        (("W01", None, None), ("W01", None, None), None),
        (("W01", "a", None), ("W02", "b", None), "W01 counts on the scale a, and W02 on b"),
        (("W01", None, None), ("W02", "b", None), "the scale of W01 is not written down"),
        (("W01", None, None), ("W02", None, None), "the scale of W01 and of W02 is not written down"),
        (("W01", "a", "0 to 100"), ("W02", "a", "1 to 10"), 'both scales are called a, but W01 says it means "0 to'),
        ((None, None, None), ("W02", "b", None), "the scale of the chair without a code is not written down"),
    ],
)
def test_numbers_of_two_chairs_are_compared_only_on_one_scale_that_is_written_down(
    left: tuple[str | None, ...], right: tuple[str | None, ...], reason: str | None
) -> None:
    def scale(side: tuple[str | None, ...]) -> ChairScale:
        return ChairScale(chair=side[0], scale=side[1], definition=side[2])

    found = not_comparable(scale(left), scale(right))
    assert found is None if reason is None else found is not None and found.startswith(reason)


@pytest.mark.parametrize(
    ("left", "right", "may"),
    [
        (None, None, True),
        (None, "full_at", True),
        ("full_at", "full_at", True),
        ("at_full_travel", "at_full_travel", True),
        ("full_at", "at_full_travel", False),
        (None, "at_full_travel", False),
    ],
)
def test_throw_is_compared_only_where_its_number_means_one_thing(
    left: str | None, right: str | None, may: bool
) -> None:
    found = throw_not_comparable(ChairScale(chair="W01", throw=left), ChairScale(chair="W02", throw=right))
    assert (found is None) is may
    if not may:
        assert found is not None and "on W01 a number says" in found and ". And on W02 a number says" in found
