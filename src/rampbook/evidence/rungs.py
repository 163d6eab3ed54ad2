"""The rungs of evidence: facts of the design move a result up, a small p never does.

Phase and demonstration counts follow the published single-case design standards (Kratochwill et al. 2010, What
Works Clearinghouse technical documentation 1.0: effect shown at three points in time, at least 3 practices a phase,
5 for full marks; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from rampbook.evidence.facts import Facts
from rampbook.series.practices import Floats, PracticeSeries

NOTED, BEFORE_AFTER, COMPARED, REPEATED, RANDOMISED = (
    "noted",
    "before-after",
    "compared",
    "repeated",
    "randomised",
)
RUNGS = (NOTED, BEFORE_AFTER, COMPARED, REPEATED, RANDOMISED)
LEAST_SIDE = 3
LEAST_ALTERNATING = 4
LEAST_DEMONSTRATIONS = 3
MOST_MISSING = 0.1
UNFINISHED_MOVED = 0.1
MOSTLY = 0.5
LEAST_MOVE = 1 / 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """The rung, and in words why it is not higher."""

    rung: str
    falls: tuple[str, ...]


def enough(series: PracticeSeries) -> bool:
    """Whether at least three practices stand on either side."""
    return min(series.n_before, series.n_after) >= LEAST_SIDE


def place(series: PracticeSeries, facts: Facts, *, demonstrations: int, compared: bool, bad_spell: bool) -> Placed:
    """Place a result on its rung: what the design shows, less one rung for each thing that weakens it.

    A result never lands on a rung whose sentence the design cannot carry: without an untouched series none is spoken
    of, and what did not come and go is not said to have done so.
    """
    falls = _falls(series, facts, bad_spell=bad_spell)
    if not enough(series) or facts.simultaneous or facts.nothing_changed or facts.two_chairs:
        return Placed(rung=NOTED, falls=falls)
    carried = _carried(series, facts, demonstrations, compared)
    most = RUNGS.index(carried[-1]) - len(falls)
    return Placed(rung=[rung for rung in carried if RUNGS.index(rung) <= max(0, most)][-1], falls=falls)


def _carried(series: PracticeSeries, facts: Facts, demonstrations: int, compared: bool) -> list[str]:
    """Give the rungs whose sentences the design can carry, lowest first."""
    repeated = demonstrations >= LEAST_DEMONSTRATIONS and phases_long_enough(series)
    further = {COMPARED: compared, REPEATED: repeated, RANDOMISED: facts.drawn_by_lot and facts.declared}
    return [NOTED, BEFORE_AFTER, *(rung for rung, holds in further.items() if holds)]


def phases_long_enough(series: PracticeSeries) -> bool:
    """Whether every phase holds 3 practices, or, alternating, each setting at least 4 with no more than 2 in a row."""
    lengths = series.phase_lengths
    if min(lengths) >= LEAST_SIDE:
        return True
    return max(lengths) <= 2 and min(series.n_before, series.n_after) >= LEAST_ALTERNATING


def agreement(series: PracticeSeries, response: Floats, slope: float, effect: float) -> tuple[int, int]:
    """Count the crossings, and those at which the outcome moved as the whole effect says.

    Parameters
    ----------
    response : (n,) float
        Link-scale response.
    slope : float
        Trend per practice, taken away first. Where every phase holds 3 practices it is taken from within the phases
        instead: an outcome that did not go back with the setting would otherwise pass for a trend. Such phases
        must also move by a third of the largest move to agree, since by chance half of all moves have the right sign.

    Returns
    -------
    (int, int)
        Crossings that agree, and all.
    """
    long_phases = len(series.phase_lengths) > 2 and min(series.phase_lengths) >= LEAST_SIDE
    if slope and long_phases:
        slope = _slope_within(series, response)
    detrended = response - slope * np.arange(series.n)
    edges = [0, *series.crossings.tolist(), series.n]
    means = [float(np.mean(detrended[a:b])) for a, b in pairwise(edges)]
    signs = [1.0 if series.phase[b] == 1 else -1.0 for b in edges[1:-1]]
    moves = [sign * (after - before) for sign, before, after in zip(signs, means[:-1], means[1:], strict=True)]
    along = [move if effect > 0 else -move for move in moves]
    least = max(along, default=0.0) * LEAST_MOVE if long_phases else 0.0
    return sum(move > 0 and move >= least for move in along), len(moves)


def mostly_agree(agreeing: int, crossings: int) -> bool:
    """Whether two crossings in three moved as the whole effect says."""
    return crossings > 0 and 3 * agreeing >= 2 * crossings


def _slope_within(series: PracticeSeries, response: Floats) -> float:
    """Give the trend per practice with every phase at a level of its own (least squares)."""
    run = np.repeat(np.arange(len(series.phase_lengths)), series.phase_lengths)
    place = np.arange(series.n, dtype=float)
    size = np.bincount(run)
    place -= (np.bincount(run, weights=place) / size)[run]
    level = (np.bincount(run, weights=response) / size)[run]
    return float(np.sum(place * (response - level)) / np.sum(place**2))


def unfinished_shares(series: PracticeSeries) -> tuple[float, float]:
    """Share of attempts that were not finished, before and after."""
    phase = series.phase[series.attempt_practice]
    shares = [
        float(np.mean(~series.attempt_finished[phase == side])) if np.any(phase == side) else 0.0 for side in (0, 1)
    ]
    return shares[0], shares[1]


def _falls(series: PracticeSeries, facts: Facts, *, bad_spell: bool) -> tuple[str, ...]:
    falls = list(facts.disturbances)
    if facts.two_chairs:
        falls.insert(0, facts.two_chairs)
    if facts.reacting and bad_spell:
        falls.append(
            "the change reacted to an unusually bad spell, after which things tend to get better by themselves"
        )
    held = series.n + series.n_missing
    if held and series.n_missing / held > MOST_MISSING:
        falls.append(f"{series.n_missing} of {held} practices gave no value")
    before, after = unfinished_shares(series)
    if abs(after - before) > UNFINISHED_MOVED:
        falls.append(f"the share of unfinished attempts moved from {before:.0%} to {after:.0%}")
    return tuple(falls)
