"""What a randomisation test gives back, and its text."""

from __future__ import annotations

from dataclasses import dataclass

SEED = 20260801
IF_DRAWN = "it counts only if {} by lot"


@dataclass(frozen=True, slots=True, kw_only=True)
class LotTest:
    """The place of the observed statistic among all that the lot could have given.

    Attributes
    ----------
    difference : float
        The observed effect: mean of the new setting minus mean of the old, or as ``algorithm`` says.
    p : float
        Share of the lots at least as far from 0 as the observed one, which is among them.
    low, high : float or None
        The effects that the test does not reject at this confidence; None for a reason.
    confidence : float
        Of the interval.
    highest_confidence : float
        Above this the lots allow no interval.
    no_interval : str or None
        Why there is no interval.
    smallest_p : float
        One over the number of lots gone through, what no p can go below.
    smallest_two_sided_p : float
        The same where the mirror of the order as practised is among the lots: it is always as far, so twice that.
    n_lots : int
        How many orders the lot could have given.
    n_as_far, n_as_high : int
        How many of the lots gone through are at least as far from 0, and at least as high.
    n_gone_through : int
        All of them, or a drawing from them.
    monte_carlo_error : float
        Standard error of p from drawing; 0 when all were gone through.
    algorithm : str
        What was done, with the smallest possible p.
    """

    difference: float
    p: float
    low: float | None
    high: float | None
    confidence: float
    highest_confidence: float
    no_interval: str | None
    smallest_p: float
    smallest_two_sided_p: float
    n_lots: int
    n_as_far: int
    n_as_high: int
    n_gone_through: int
    monte_carlo_error: float
    algorithm: str


def how_gone_through(n_lots: int, drawn: int, seed: int, error: float) -> str:
    """Say how many lots there are and whether all were gone through; ``drawn`` is 0 for all."""
    if not drawn:
        return f"{n_lots}, all gone through"
    told = str(n_lots) if n_lots < 10**9 else f"about 10^{len(str(n_lots)) - 1}"
    return f"{told}, {drawn} drawn with seed {seed}, p good to {error:.2g}"


def smallest_told(smallest: float, two_sided: float) -> str:
    """Say what p cannot go below."""
    mirror = "" if two_sided == smallest else f" ({two_sided:.4g} two-sided: the mirrored order is always as far)"
    return f"the smallest possible p is {smallest:.4g}{mirror}"


def too_few_lots(confidence: float, highest: float) -> str:
    """Say that no interval of this confidence exists."""
    if highest <= 0:
        return "the lots allow no interval of any confidence"
    # Cut, not rounded: the confidence that is named must be one that can be had.
    return (
        f"too few lots for a {100 * confidence:g}% interval; "
        f"the highest confidence they allow is {int(1000 * highest + 1e-6) / 10:g}%"
    )
