"""The closed lists, the cautions and the names of outcomes."""

from __future__ import annotations

import re

import pytest

from rampbook.domain import cautions as caution_lines
from rampbook.domain.cautions import ALWAYS, LONGER_STOP, cautions
from rampbook.domain.consent import CONSENT_SCOPES, ROLES
from rampbook.domain.events import EVENTS
from rampbook.domain.outcomes import RATING_GIVERS, drill_of, drill_outcome, outcome_name
from rampbook.domain.settings import DEFAULT
from rampbook.domain.words import one_of
from rampbook.errors import EntryError


def test_the_lists_are_closed() -> None:
    assert set(EVENTS) == {
        "new_joystick", "calibration", "seating", "tyres", "battery",
        "illness", "growth", "surface", "timer", "other",
    }  # fmt: skip
    assert set(CONSENT_SCOPES) == {"club", "pool", "none"}
    assert set(ROLES) == {"athlete", "coach", "technician", "therapist", "family", "other"}
    assert set(RATING_GIVERS) == {"self", "told", "guess"}


def test_a_word_outside_the_list_is_refused_with_the_list() -> None:
    assert one_of("tyres", EVENTS, field="--event") == "tyres"
    with pytest.raises(EntryError, match='--event is "tires": it must be one of new_joystick, calibration'):
        one_of("tires", EVENTS, field="--event")


def test_drill_outcomes_are_named_after_their_drill() -> None:
    assert drill_outcome("slalom") == drill_outcome("drill:slalom") == "drill:slalom"
    assert drill_of("drill:slalom") == "slalom"
    assert drill_of("comfort") is None
    with pytest.raises(EntryError, match="outcome is empty"):
        outcome_name("  ")
    with pytest.raises(EntryError, match="drill is empty"):
        drill_outcome("")


def test_every_setting_carries_the_lines_that_always_stand() -> None:
    for name in DEFAULT.settings:
        assert cautions(name)[: len(ALWAYS)] == list(ALWAYS)
    text = " ".join(ALWAYS)
    for word in (
        "One change at a time", "old value", "clear space", "spotter", "stop agreed",
        "limit", "local rules", "maker's instructions", "licensed practice",
    ):  # fmt: skip
        assert word in text


@pytest.mark.parametrize("setting", ["deceleration_max", "deceleration_min", "turn_deceleration_max"])
def test_a_lower_deceleration_warns_of_the_longer_stop(setting: str) -> None:
    assert LONGER_STOP in cautions(setting, old=50, new=40)
    assert LONGER_STOP in cautions(setting, new=40)
    assert LONGER_STOP not in cautions(setting, old=40, new=50)
    assert LONGER_STOP not in cautions("acceleration_max", old=50, new=40)


def test_no_caution_tells_anyone_to_go_faster() -> None:
    said = " ".join(
        [*caution_lines.ALWAYS, caution_lines.RECHECK_SPEED, LONGER_STOP, caution_lines.FELT_GAIN]
    )
    assert not re.search(r"\b(faster|quicker|raise|increase|more speed|should be set)\b", said)
