"""Two readings of a throw number name the same lines, and each leads to the other."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rampbook.domain.response import command_share
from rampbook.domain.throw import OTHER, THROW_DEFINITIONS, USUAL, the_other, throw_number, throw_share
from rampbook.errors import EntryError


@given(number=st.floats(1, 200), deadband=st.floats(0, 0.9), deflection=st.floats(0, 1))
def test_at_full_travel_means_what_it_says(number: float, deadband: float, deflection: float) -> None:
    throw = throw_share(number, definition=OTHER, deadband=deadband)
    line = number / 100 * (deflection - deadband) / (1 - deadband)
    share = command_share(deflection, deadband=deadband, throw=throw)
    assert share == pytest.approx(min(max(line, 0), 1), abs=1e-9)
    assert throw_number(throw, definition=OTHER, deadband=deadband) == pytest.approx(number, rel=1e-9)


@pytest.mark.parametrize("number", [0.5, 25, 60, 100])
def test_the_usual_number_is_the_travel_itself(number: float) -> None:
    assert throw_share(number, definition=USUAL, deadband=0.1) == number / 100
    assert throw_number(number / 100, definition=USUAL, deadband=0.1) == pytest.approx(number)


def test_the_two_readings_of_sixty_are_far_apart() -> None:
    # By hand: full at 60% of travel rises by 1 / 0.6; a command of 60% at full travel by 0.6.
    usual = throw_share(60, definition=USUAL, deadband=0.0)
    other = throw_share(60, definition=OTHER, deadband=0.0)
    assert 1 / usual == pytest.approx(1.6667, abs=5e-5) and 1 / other == pytest.approx(0.6)
    assert command_share(1.0, deadband=0.0, throw=other) == pytest.approx(0.6)


def test_each_definition_offers_the_other() -> None:
    assert the_other(USUAL) is OTHER and the_other(OTHER) is USUAL
    assert all(definition.id == name for name, definition in THROW_DEFINITIONS.items())


def test_impossible_throws_are_refused() -> None:
    with pytest.raises(EntryError, match="The throw is 0: it must be a number above 0"):
        throw_share(0, definition=OTHER, deadband=0.1)
    with pytest.raises(EntryError, match="The deadband is 100%: it must be from 0 to below 100"):
        throw_share(50, definition=USUAL, deadband=1.0)
    with pytest.raises(EntryError, match="A throw of 10% cannot be said otherwise with a deadband of 20%"):
        throw_number(0.1, definition=OTHER, deadband=0.2)
