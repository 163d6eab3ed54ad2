"""The list of symptoms: what the shipped one holds, and that a broken one is named by line and key."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rampbook.domain.catalogue import DEFAULT
from rampbook.domain.symptoms import Symptom, raises_what, read_symptoms
from rampbook.errors import EntryError, StoreError
from rampbook.store.symptoms_file import club_copy, load_symptoms, usual_text

LISTED = read_symptoms(usual_text(), "symptoms.toml")
BY_NAME = {symptom.name: symptom for symptom in LISTED.symptoms}


def test_the_five_symptoms_are_there_each_with_a_check_a_setting_a_direction_and_an_outcome() -> None:
    assert list(BY_NAME) == ["jerks_at_rest", "jumps_when_starting", "drifts", "cannot_reach_the_end", "new_joystick"]
    for symptom in LISTED.symptoms:
        assert symptom.check_first and symptom.settings and symptom.only_if and symptom.outcome
        assert symptom.step <= LISTED.step_limit


@pytest.mark.parametrize("name", ["drifts", "new_joystick"])
def test_calibration_comes_first_and_is_logged(name: str) -> None:
    assert "calibration" in BY_NAME[name].check_first[0]
    assert "calibration" in BY_NAME[name].events


@pytest.mark.parametrize(
    ("name", "setting", "direction"),
    [
        ("jerks_at_rest", "deadband", "up"),
        ("jumps_when_starting", "acceleration_max", "down"),
        ("drifts", "turn_speed_max", "down"),
        ("cannot_reach_the_end", "throw_forward", "down"),
    ],
)
def test_the_direction_of_each_step_is_common_practice(name: str, setting: str, direction: str) -> None:
    # Common practice, no source.
    assert setting in BY_NAME[name].settings
    assert BY_NAME[name].direction == direction


def test_the_list_never_diagnoses_and_never_says_faster() -> None:
    said = re.sub(r"^#.*$", "", usual_text(), flags=re.M).lower()
    for word in ("faster", "quicker", "speed up", "diagnos", "disease", "tremor", "spasm", "weak", "disorder"):
        assert word not in said
    for symptom in LISTED.symptoms:
        assert all(raises_what(setting, symptom.way_of(setting)) is None for setting in symptom.settings)


def test_a_step_is_held_within_bounds_and_turns_round_with_the_other_meaning_of_throw() -> None:
    jerks, reach = BY_NAME["jerks_at_rest"], BY_NAME["cannot_reach_the_end"]
    deadband, throw = DEFAULT.find("deadband"), DEFAULT.find("throw_left")
    assert [jerks.next_value(deadband, old) for old in (10, 99, 100)] == [12, 100, 100]
    assert reach.next_value(throw, 60) == reach.next_value(throw, 60, "full_at") == 55
    assert reach.next_value(throw, 60, "at_full_travel") == 65
    assert jerks.next_value(deadband, 10, "at_full_travel") == 12


def test_what_a_step_raises_is_known() -> None:
    bases = ("forward_speed", "turn_speed", "acceleration", "deceleration")
    assert [raises_what(f"{base}_max", 1) for base in bases] == ["the speed", "the turn rate", "the acceleration", None]
    assert raises_what("turn_speed_min", -1) is None


def test_a_symptom_is_found_however_it_is_spelled_apart() -> None:
    assert LISTED.find("Jerks at rest") == LISTED.find("jerks-at-rest") == BY_NAME["jerks_at_rest"]
    with pytest.raises(EntryError, match=r'no symptom "wobbles". There are jerks_at_rest, .*new_joystick'):
        LISTED.find("wobbles")


def line_of(text: str, start: str, *, of: int) -> int:
    """Return the line of the n-th line with this key, or this heading, counted from 1."""
    return [n for n, line in enumerate(text.splitlines(), start=1) if line.partition(" =")[0] == start][of - 1]


BROKEN = [
    ('direction = "up"', 'direction = "upp"', "direction", 1, 'it is "upp"; it must be one of up, down'),
    ("step = 2", "step = 6", "step", 1, "it is 6, more than step_limit, 5"),
    ("step = 2", 'step = "2"', "step", 1, "it must be a number above 0, not '2'"),
    ("step = 2", "step = -1", "step", 1, "it must be a number above 0, not -1"),
    ("step = 2", "step = inf", "step", 1, "it must be a number above 0, not inf"),
    ("step = 2", "step = true", "step", 1, "it must be a number above 0, not True"),
    ('settings = ["deadband"]', 'settings = ["deadbnd"]', "settings", 1, 'there is no setting "deadbnd"'),
    ('settings = ["deadband"]', "settings = []", "settings", 1, "it is empty; name at least one"),
    ('settings = ["deadband"]', 'settings = "deadband"', "settings", 1, "it must be a list of texts"),
    ('settings = ["deadband"]', 'settings = ["forward_speed_max"]', "direction", 1, "up would raise the top speed"),
    ('outcome = "count:jerks"', 'outcome = "jerks"', "outcome", 1, 'it is "jerks"; write one of drill:NAME'),
    ('better = "lower"', 'better = "less"', "better", 1, "it must be one of lower, higher"),
    ('events = ["calibration"]', 'events = ["calibrated"]', "events", 1, "it must be one of new_joystick"),
    ('name = "jumps_when_starting"', 'name = "jerks_at_rest"', "name", 2, "another symptom is called"),
    ('name = "jumps_when_starting"', 'name = "Jumps!"', "name", 2, "use small letters, digits and _ only"),
    ('words = "It jumps when starting"', 'words = ""', "words", 2, "it must be text in quotation marks"),
    ('words = "It jumps when starting"', 'wrods = "It jumps"', "wrods", 1, "there is no such key; there are name"),
    ("step_limit = 5", "step_limit = 0", "step_limit", 1, "it must be a number above 0, not 0"),
]


@pytest.mark.parametrize(("old", "new", "key", "of", "said"), BROKEN, ids=[f"{row[1]}" for row in BROKEN])
def test_a_broken_list_is_named_by_line_and_key(old: str, new: str, key: str, of: int, said: str) -> None:
    text = usual_text().replace(old, new, 1)
    assert text != usual_text()
    line = line_of(text, key, of=of)
    with pytest.raises(EntryError, match=rf'^ours\.toml, line {line}, key "{key}".*{re.escape(said)}'):
        read_symptoms(text, "ours.toml")


def test_a_key_that_is_missing_is_named_with_the_line_of_its_symptom() -> None:
    text = usual_text().replace('better = "higher"\n', "", 1)
    line = line_of(text, "[[symptom]]", of=2)
    with pytest.raises(EntryError, match=rf'^ours\.toml, line {line}, key "better" of symptom 2: it is missing'):
        read_symptoms(text, "ours.toml")


def test_text_that_is_no_toml_is_named_by_line_and_key() -> None:
    text = usual_text().replace('better = "lower"', "better = lower", 1)
    line = line_of(text, "better", of=1)
    with pytest.raises(EntryError, match=rf'^ours\.toml, line {line}, key "better": it cannot be read there'):
        read_symptoms(text, "ours.toml")
    with pytest.raises(EntryError, match=r"^ours\.toml: it holds no symptom"):
        read_symptoms("step_limit = 5", "ours.toml")
    with pytest.raises(EntryError, match=r"^ours\.toml, line 1.*cannot be read there"):
        read_symptoms('step_limit = "', "ours.toml")


def test_the_clubs_copy_beside_the_store_comes_first(tmp_path: Path) -> None:
    store = tmp_path / "club.duckdb"
    assert load_symptoms(store).source == "symptoms.toml"
    # A byte order mark, as some editors write it.
    club_copy(store).write_text("\ufeff" + usual_text().replace("step_limit = 5", "step_limit = 7"), encoding="utf-8")
    assert (load_symptoms(store).step_limit, load_symptoms(store).source) == (7, str(tmp_path / "club.symptoms.toml"))
    with pytest.raises(StoreError, match=r"none\.toml cannot be read as text"):
        load_symptoms(store, tmp_path / "none.toml")
    club_copy(store).write_bytes(b"\xff\xfe\x00")
    with pytest.raises(StoreError, match=r"club\.symptoms\.toml cannot be read as text"):
        load_symptoms(store)


def test_every_field_of_a_symptom_reaches_the_json() -> None:
    assert BY_NAME["drifts"].to_dict().keys() == set(Symptom.__slots__)
