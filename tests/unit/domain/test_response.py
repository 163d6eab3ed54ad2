"""Joystick travel and command: ``clip((r - d) / (T - d), 0, 1)``; common practice, no source."""

from __future__ import annotations

import math

import pytest

from rampbook.domain.response import command_share, gain
from rampbook.errors import EntryError


@pytest.mark.parametrize(
    ("deadband", "throw", "slope", "expected"),
    [
        (0.10, 1.00, 1.1111, (0.1111, 0.2778, 0.5556)),
        (0.10, 0.60, 2.0, (0.2, 0.5, 1.0)),
        (0.10, 0.50, 2.5, (0.25, 0.625, 1.0)),
        (0.20, 0.60, 2.5, (0.0, 0.375, 1.0)),
    ],
)
def test_command_at_three_deflections(
    deadband: float, throw: float, slope: float, expected: tuple[float, float, float]
) -> None:
    # Half a unit of the last of four digits.
    assert gain(deadband=deadband, throw=throw) == pytest.approx(slope, abs=5e-5)
    for deflection, command in zip((0.2, 0.35, 0.6), expected, strict=True):
        assert command_share(deflection, deadband=deadband, throw=throw) == pytest.approx(command, abs=5e-5)
        assert command_share(-deflection, deadband=deadband, throw=throw) == pytest.approx(-command, abs=5e-5)


def test_a_throw_of_half_reaches_full_command_at_half_deflection() -> None:
    assert command_share(0.5, deadband=0.0, throw=0.5) == 1
    assert command_share(0.5, deadband=0.1, throw=0.5) == 1
    assert command_share(0.49, deadband=0.1, throw=0.5) < 1


@pytest.mark.parametrize(
    ("deadband", "throw"), [(0.5, 0.5), (0.6, 0.5), (-0.1, 0.5), (math.nan, 0.5), (0.1, math.inf)]
)
def test_a_throw_that_is_not_above_the_deadband_is_refused(deadband: float, throw: float) -> None:
    with pytest.raises(EntryError, match="the throw must be above"):
        command_share(0.2, deadband=deadband, throw=throw)


def test_a_deflection_that_is_not_a_number_is_refused() -> None:
    with pytest.raises(EntryError, match="deflection is nan"):
        command_share(math.nan, deadband=0.1, throw=0.5)
