"""Single entries: the same rules as for files, one row at a time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rampbook.errors import EntryError, SettingBlocked
from rampbook.store import Store, entries

from .records import club_store, contents

SPEED = "forward_speed_max"


def change(store: Store, value: float, **more: Any) -> str:
    return entries.record_change(
        store, "K01", chair="C1", profile=2, setting=SPEED, new_value=value, on="2026-03-01", **more
    )


def test_change_and_its_return(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        first = change(store, 55, role="coach", planned=True)
        back = entries.record_change(
            store, "K01", chair="C1", profile=2, setting=SPEED, new_value=50, on="2026-03-08", goes_back_to=first
        )
        rows = store.select(
            'select change, old_value, planned from changes where change in (?, ?) order by "on"', first, back
        )
        assert [(row["change"], row["old_value"], row["planned"]) for row in rows] == [(first, 50, 1), (back, 55, None)]


def test_a_refused_code_is_answered_in_whole_sentences(tmp_path: Path) -> None:
    with club_store(tmp_path) as store, pytest.raises(EntryError) as caught:
        entries.record_athlete(store, "Ann Lee", consent="club")
    assert str(caught.value).endswith("never a name. Write a code such as K01. Nothing was saved.")


def test_blocked_change_carries_blocks_and_steps_and_saves_nothing(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        before = contents(store)
        with pytest.raises(SettingBlocked, match=r"reverse_speed_max is 40.*Nothing was saved") as caught:
            change(store, 30)
        assert caught.value.blocked_by == [
            {
                "setting": "reverse_speed_max",
                "value": 40.0,
                "rule": "reverse_speed_max can't be above forward_speed_max",
            }
        ]
        assert caught.value.steps == [
            {"setting": "reverse_speed_max", "value": 30.0},
            {"setting": SPEED, "value": 30.0},
        ]
        assert contents(store) == before


def test_all_outcomes_of_a_practice(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        practice = entries.record_practice(store, "K01", on="2026-03-05", time="18:30", minutes=45.5)
        assert practice == "K01@2026-03-05T18:30:00"
        same = [entries.record_attempt(store, practice, drill="spin", seconds=9.5) for _ in range(2)]
        assert same == [f"{practice}#1", f"{practice}#2"]
        entries.record_count(store, practice, outcome="collisions", count=3, minutes=20)
        entries.record_rating(store, practice, outcome="comfort", rating=6.5, by="self")
        entries.record_tries(store, practice, outcome="passes", successes=4, tries=10)
        entries.record_event(store, "K01", on="2026-03-05", event="tyres", note="new ones")
        athletes = store.select("select distinct athlete from attempts where practice = ?", practice)
        assert athletes == [{"athlete": "K01"}]
        assert [len(contents(store)[table]) for table in ("counts", "ratings", "tries", "events")] == [1, 1, 1, 1]


def test_correction_of_an_entry_keeps_both(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        entries.record_rating(store, "P1", outcome="comfort", rating=6)
        (old,) = store.select("select entry from ratings")
        new = entries.record_rating(store, "P1", outcome="comfort", rating=7, supersedes=old["entry"])
        assert new != old["entry"]
        assert store.select("select rating from ratings order by rating") == [{"rating": 6.0}, {"rating": 7.0}]
        assert store.select("select rating from ratings_now") == [{"rating": 7.0}]


REFUSED: list[tuple[Callable[[Store], str], str, str]] = [
    (lambda s: entries.record_athlete(s, "Ann Lee", consent="club"), "athlete", "never a name"),
    (lambda s: entries.record_athlete(s, "K09", consent="maybe"), "consent", "one of club, pool, none"),
    (lambda s: entries.record_practice(s, "K03", on="2026-03-01"), "athlete", "consent is none"),
    (lambda s: entries.record_practice(s, "K01", on="2026-02-30"), "on", "a date such as"),
    (lambda s: entries.record_attempt(s, "P77", drill="spin", seconds=9), "practice", "no practice of that id"),
    (lambda s: entries.record_attempt(s, "P1", drill="spin", seconds=float("nan")), "seconds", "a number above 0"),
    (lambda s: entries.record_attempt(s, "P1", drill="spin", seconds=float("inf")), "seconds", "a number above 0"),
    (lambda s: entries.record_rating(s, "P1", outcome="comfort", rating=11), "rating", "from 0 to 10"),
    (lambda s: entries.record_tries(s, "P1", outcome="passes", successes=3, tries=2), "successes", "more successes"),
    (lambda s: entries.record_count(s, "P1", outcome="collisions", count=-1), "count", "0 or more"),
    (lambda s: entries.record_event(s, "K01", on="2026-03-01", event="wind"), "event", "one of new_joystick"),
    (
        lambda s: entries.record_sheet_value(s, "K01", profile=2, setting="warp", value=1, on="2026-03-01"),
        "setting",
        "no such setting",
    ),
    (lambda s: change(s, 55, old_value=60), "old_value", "since change C1"),
]


@pytest.mark.parametrize(("act", "field", "said"), REFUSED)
def test_entry_that_cannot_be_used_is_refused_and_saves_nothing(
    tmp_path: Path, act: Callable[[Store], str], field: str, said: str
) -> None:
    with club_store(tmp_path) as store:
        before = contents(store)
        with pytest.raises(EntryError, match=said) as caught:
            act(store)
        assert caught.value.field == field
        assert contents(store) == before


def test_several_entries_are_saved_together_or_not_at_all(tmp_path: Path) -> None:
    with club_store(tmp_path) as store:
        before = contents(store)
        with pytest.raises(EntryError, match="from 0 to 10"), store.transaction():
            entries.record_practice(store, "K01", on="2026-03-05")
            entries.record_rating(store, "K01@2026-03-05", outcome="comfort", rating=12)
        assert contents(store) == before
