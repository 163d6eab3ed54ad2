"""The verdict: the interval against the smallest change that would matter."""

from __future__ import annotations

from typing import Final

from rampbook.units import Better

BETTER: Final = "better"
WORSE: Final = "worse"
NO_DIFFERENCE: Final = "no worthwhile difference"
CANNOT_TELL: Final = "cannot tell yet"
TRADED: Final = "traded accuracy for speed"
VERDICTS = (BETTER, WORSE, NO_DIFFERENCE, CANNOT_TELL, TRADED)

# A rise of touches below this ratio is not spoken of when its interval does not show it.
TOUCHES_NOTICED: Final = 1.1


def verdict(effect: float, low: float, high: float, worthwhile: float, better: Better) -> str:
    """Give the verdict of an interval on the link scale.

    ``better`` needs an interval that leaves out no effect and an estimate of at least ``worthwhile`` (above 0).
    ``worse`` needs only the interval to leave out no effect: harm does not have to be large to be said. An interval
    wholly inside the zone that is too small to matter is ``no worthwhile difference``.
    """
    gain, floor, ceiling = (effect, low, high) if better == "higher" else (-effect, -high, -low)
    if -worthwhile < floor and ceiling < worthwhile:
        return NO_DIFFERENCE
    if floor > 0 and gain >= worthwhile:
        return BETTER
    return WORSE if ceiling < 0 else CANNOT_TELL


def of_noted(verdict: str) -> str:
    """Say no more than "cannot be told" of a change that is only noted; harm alone is said all the same."""
    return CANNOT_TELL if verdict in (BETTER, NO_DIFFERENCE) else verdict


def with_touches(time_verdict: str, touches: tuple[float, float, float] | None) -> str:
    """Judge time and touches together: faster with more touches is never plain "better".

    Parameters
    ----------
    time_verdict : str
        Verdict on the times.
    touches : (ratio, low, high)
        Touches per attempt, new over old, with its 80% interval: harm is said on weak evidence.
    """
    if time_verdict != BETTER or touches is None:
        return time_verdict
    return TRADED if touches[1] > 1.0 else time_verdict


def touch_doubts(verdict: str, touches: tuple[float, float, float] | None) -> tuple[str, ...]:
    """Say in words what the touches take away from a faster time: a clear rise, or one that cannot be ruled out."""
    if touches is None or verdict not in (BETTER, TRADED):
        return ()
    ratio = touches[0]
    if verdict == TRADED:
        return (f"touches an attempt rose to {ratio:.2g} times the old rate",)
    return (f"touches an attempt may have risen ({ratio:.2g} times the old rate)",) if ratio > TOUCHES_NOTICED else ()
