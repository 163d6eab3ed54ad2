"""The only place where a result becomes words: each rung allows one strongest sentence, and no more."""

from __future__ import annotations

import math
from typing import Final

from rampbook.evidence.facts import Facts
from rampbook.evidence.rungs import BEFORE_AFTER, COMPARED, NOTED, RANDOMISED, REPEATED, Placed
from rampbook.evidence.verdicts import NO_DIFFERENCE
from rampbook.units import Kind

TOO_FEW: Final = "Changed on this date; too few practices to compare."


def amount(kind: Kind, effect: float) -> str:
    """Say an effect (link scale) in words: "7% faster", "0.8 points higher", "odds 1.6 times as high"."""
    if kind.name == "rating":
        return f"{abs(effect):.1f} points {'higher' if effect > 0 else 'lower'}"
    ratio = math.exp(min(effect, 50.0))
    if kind.name == "success":
        return f"odds of success {ratio:.2g} times as high"
    percent = abs(ratio - 1.0) * 100.0
    word = kind.more_word if effect > 0 else kind.less_word
    if percent > 900:
        return f"{ratio:.2g} times as {'often' if kind.name == 'count' else 'long'}"
    if ratio < 0.01:
        return f"over 99% {word}"
    return f"{percent:.0f}% {word}" if percent >= 0.5 else f"{percent:.1g}% {word}"


def _against(said: str, what: str) -> str:
    """Join an amount to what it is compared with: "7% faster than ...", "3 times as often as ..."."""
    return f"{said} {'as' if ' times as ' in said else 'than'} {what}"


def span(kind: Kind, low: float, high: float) -> str:
    """Say an interval in words, smaller effect first where both ends go one way."""
    ends = sorted((low, high), key=abs) if low * high > 0 else (low, high)
    joiner = "between {} and {}" if low * high <= 0 else "{} to {}"
    return joiner.format(amount(kind, ends[0]), amount(kind, ends[1]))


def allowed_sentence(
    kind: Kind, placed: Placed, facts: Facts, verdict: str, numbers: tuple[float, float, float] | None, *, trend: bool
) -> str:
    """Give the strongest sentence that the rung allows.

    Parameters
    ----------
    numbers : (effect, low, high) or None
        On the link scale; None where nothing could be estimated.
    trend : bool
        Whether the earlier trend was allowed for.
    """
    if numbers is None and placed.rung == NOTED and not facts.simultaneous:
        return TOO_FEW
    if numbers is None:
        return "Changed on this date; no estimate can be given from this record."
    if placed.rung == NOTED:
        return _noted(placed, facts)
    effect, low, high = numbers
    if low * high <= 0 or verdict == NO_DIFFERENCE:
        return _nothing_told(kind, placed.rung, verdict, low, high, trend)
    said, within = amount(kind, effect), span(kind, low, high)
    earlier = "the earlier trend predicts" if trend else "before, with learning not allowed for"
    return {
        BEFORE_AFTER: f"After the change: {_against(said, earlier)} ({within}); other causes are not ruled out.",
        COMPARED: f"After the change: {_against(said, 'the untouched series would suggest')} ({within}).",
        REPEATED: f"With the new setting: {said} ({within}); this came and went with the setting.",
        RANDOMISED: f"The change made the difference, in these practices: {said} ({within}).",
    }[placed.rung]


def with_doubts(sentence: str, held: tuple[str, ...]) -> str:
    """Add what keeps an effect from being called better."""
    return f"{sentence} But {'; '.join(held)}." if held else sentence


def _noted(placed: Placed, facts: Facts) -> str:
    if facts.nothing_changed:
        return f"Changed on this date; {facts.nothing_changed}, so nothing changed for the chair."
    if facts.simultaneous:
        others = ", ".join(facts.simultaneous)
        if facts.bundle:
            return (
                f"Changed in one go with {others} (bundle {facts.bundle}): the estimate is of the whole bundle, and "
                "what one of them did alone cannot be told."
            )
        return f"Changed on this date together with {others}; what one of them did alone cannot be told."
    return f"Changed on this date; what the setting did cannot be told, because {'; '.join(placed.falls)}."


def _nothing_told(kind: Kind, rung: str, verdict: str, low: float, high: float, trend: bool) -> str:
    against = {COMPARED: "the untouched series", REPEATED: "the old setting", RANDOMISED: "the old setting"}.get(
        rung, "the earlier trend" if trend else "before"
    )
    if verdict == NO_DIFFERENCE:
        return f"Compared with {against} the difference is too small to matter ({span(kind, low, high)})."
    return f"No difference from {against} can be told yet ({span(kind, low, high)})."


def not_shown(placed: Placed, facts: Facts, *, compared: bool, trend: bool, estimated: bool) -> tuple[str, ...]:
    """List what the result does not show, the plainest first."""
    out = []
    if placed.rung != RANDOMISED:
        out.append("That the change caused it.")
    if facts.simultaneous:
        out.append(f"Which of the settings did it: {', '.join(facts.simultaneous)} changed on the same day.")
    out += [f"How much is due to this: {fall}." for fall in placed.falls]
    if not facts.drawn_by_lot:
        out.append("What a date drawn by lot would show: nobody drew the date.")
    if not compared and placed.rung in (NOTED, BEFORE_AFTER):
        out.append("What an untouched profile did in the same practices: none was measured.")
    if not trend:
        out.append("Whether practice alone would have done it: the trend was left out by choice.")
    if estimated:
        out.append("That it will last, or that another athlete or drill would show it.")
    return tuple(out)
