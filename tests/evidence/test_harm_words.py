"""The words of the watch for harm: what rose, the way back, what it does not show; and what may never be said."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from rampbook.evidence import harm
from rampbook.evidence.harm import Watched, WatchedChange, go_back, not_proof, short, what_rose, words

OF = WatchedChange(
    change="C7", athlete="K01", profile=2, setting="turn_speed_max", old_value=45.0, new_value=52.5, on=date(2026, 3, 2)
)
FORBIDDEN = ("faster", "increase the", "caused", "because of the change", "injured", "diagnos", "proves", "safe to")


def watched(**changed: Any) -> Watched:
    fields: dict[str, Any] = {
        "of": OF, "outcome": "collisions", "kind": "count", "harm": "higher", "state": harm.ALERT, "n_before": 8,
        "n_after": 3, "before": 2.0, "after": 5.25, "per": "an hour", "p": 0.01, "raised": 3,
        "raised_on": date(2026, 3, 9), "events_a_practice": 2.0,
    }  # fmt: skip
    return Watched(**(fields | changed))


def test_an_alert_says_what_rose_and_names_setting_old_value_and_command() -> None:
    rose, back, proof = words(watched())
    assert rose == (
        "Harm first: collisions rose from 2.0 to 5.2 an hour in 3 practices since C7 "
        "(turn speed max 45 to 52.5, K01, profile 2)."
    )
    assert back.startswith("Go back to the old value, turn speed max 45, and log it: rampbook goback C7.")
    assert "clear space, with a spotter and an agreed stop" in back
    assert "maker's instructions and licensed practice come first" in back
    assert proof.startswith("This is no proof that the change did it, and no finding about anybody's health.")


def test_a_rating_falls_and_a_pain_rises() -> None:
    fell = watched(outcome="comfort", kind="rating", harm="lower", before=7.5, after=5.0, per="of 10")
    assert "comfort fell from 7.5 to 5.0 of 10 in 3 practices" in what_rose(fell)
    rose = watched(outcome="pain", kind="rating", harm="higher", before=1.0, after=3.0, per="of 10", n_after=1)
    assert "pain rose from 1.0 to 3.0 of 10 in 1 practice since" in what_rose(rose)


def test_how_often_an_alert_is_false_is_that_of_the_worst_kind_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(harm, "FALSE_ALARMS", {"count": (0.1, 0.25), "rating": (0.05, 0.2)})
    rating = watched(outcome="comfort", kind="rating", harm="lower")
    assert "about 1 outcome watched in 20 raises one within 15 practices, up to 1 in 5" in not_proof([rating])
    both = not_proof([rating, watched()])
    assert "about 1 outcome watched in 10 raises one within 15 practices, up to 1 in 4" in both


def test_one_serious_event_needs_no_rate_and_claims_none() -> None:
    one = watched(outcome="loss_of_control", serious=True, p=None, n_after=1, raised=1)
    assert "loss of control was logged on 2026-03-09" in what_rose(one) and "one is enough" in what_rose(one)
    assert "1 in" not in not_proof([one])


def test_what_else_happened_is_named_once() -> None:
    also = ("deadband 8 to 6 on 2026-03-02", "another battery, or one that fails on 2026-03-05")
    told = not_proof([watched(also=also), watched(outcome="falls", also=also[:1])])
    assert f"That day or since, there was also: {also[0]}; {also[1]}." in told


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"state": harm.WAITING, "n_after": 0}, "Collisions: nothing measured since the change yet."),
        ({"state": harm.TOO_FEW, "n_before": 1}, "Collisions: only 1 practice with the old value, too few to compare"),
        ({"state": harm.EASED}, "an alert was raised at practice 3 after the change, and later practices did not"),
        ({"state": harm.OVER, "n_after": 15}, "no sign of harm in 15 practices (2.0 to 5.2 an hour); the watch"),
        ({"state": harm.QUIET}, "no sign of harm so far in 3 practices (2.0 to 5.2 an hour); a doubling would "),
    ],
)
def test_a_watch_without_an_alert_is_told_in_one_sentence(changed: dict[str, Any], said: str) -> None:
    (line,) = words(watched(**changed))
    assert said in line


def test_what_the_watch_cannot_see_in_time_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    found: dict[str, int | None] = {"count": 6, "rating": None}
    monkeypatch.setattr(harm, "shows_after", lambda kind, n_before, events: found[kind])
    (count,) = words(watched(state=harm.QUIET))
    (rating,) = words(watched(state=harm.QUIET, kind="rating", harm="lower", outcome="comfort"))
    assert "a doubling would show by about practice 6 half of the time, so watch by eye as well." in count
    assert "a drop of 2 points would often not show within 15 practices, so watch by eye as well." in rating


@pytest.mark.parametrize("state", [harm.ALERT, harm.EASED, harm.QUIET, harm.OVER, harm.TOO_FEW, harm.WAITING])
@pytest.mark.parametrize("serious", [False, True])
def test_nothing_is_claimed_that_may_not_be(state: str, serious: bool) -> None:
    one = watched(state=state, serious=serious)
    told = " ".join([*words(one), *short(one), go_back(one)]).lower()
    assert not [word for word in FORBIDDEN if word in told]
