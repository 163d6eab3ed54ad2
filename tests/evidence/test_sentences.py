"""No sentence is stronger than its rung, whatever the numbers."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.evidence.facts import Facts
from rampbook.evidence.rungs import RUNGS, Placed
from rampbook.evidence.sentences import allowed_sentence, not_shown
from rampbook.evidence.verdicts import VERDICTS
from rampbook.units import KINDS

numbers = st.tuples(st.floats(-3, 3), st.floats(0, 3), st.floats(0, 3)).map(lambda t: (t[0], t[0] - t[1], t[0] + t[2]))


@settings(max_examples=2000, deadline=None)
@given(
    kind=st.sampled_from(sorted(KINDS)),
    rung=st.sampled_from(RUNGS),
    verdict=st.sampled_from(VERDICTS),
    numbers=st.one_of(st.none(), numbers),
    trend=st.booleans(),
    falls=st.sampled_from([(), ("another joystick on 2026-02-01",)]),
)
def test_only_the_highest_rung_says_that_the_change_made_it(
    kind: str, rung: str, verdict: str, numbers: tuple[float, float, float] | None, trend: bool, falls: tuple[str, ...]
) -> None:
    placed = Placed(rung=rung, falls=falls or (("x",) if rung == "noted" else ()))
    said = allowed_sentence(KINDS[kind], placed, Facts(), verdict, numbers, trend=trend)
    assert said.endswith(".")
    assert "caused" not in said and "helped" not in said
    if rung != "randomised":
        assert "made the difference" not in said
        assert "That the change caused it." in not_shown(placed, Facts(), compared=False, trend=trend, estimated=True)
    if rung not in ("repeated", "randomised"):
        assert "came and went" not in said
    if rung == "before-after" and said.startswith("After the change:"):
        assert "other causes are not ruled out" in said
    if numbers is not None and numbers[1] <= 0 <= numbers[2] and rung != "noted":
        assert said.startswith(("No difference", "Compared with"))
