"""Randomisation tests: the observed difference among those of every order that the lot could have given."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from rampbook.errors import DesignError

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

SEED = 20260801
SHORTEST_PHASE = 5
IF_DRAWN = "it counts only if the moment of change was drawn by lot"


@dataclass(frozen=True, slots=True, kw_only=True)
class LotTest:
    """The place of the observed statistic among all that the lot could have given.

    Attributes
    ----------
    difference : float
        The observed statistic: mean of the new setting minus mean of the old (or the mean difference).
    p : float
        Share of the lots at least as far from 0 as the observed one, which is among them.
    smallest_p : float
        What p cannot go below with so few lots.
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
    smallest_p: float
    n_lots: int
    n_as_far: int
    n_as_high: int
    n_gone_through: int
    monte_carlo_error: float
    algorithm: str


def randomisation_test(
    response: Floats, phase: Integers, *, lots: Integers | None = None, seed: int = SEED, most: int = 20_000
) -> LotTest:
    """Test the difference of phase means against every order of settings that the lot could have given.

    Parameters
    ----------
    response : (n,) float
        One number a practice, in order.
    phase : (n,) int
        0 old setting, 1 new setting.
    lots : (l, n) int, optional
        The orders that could have been drawn, the observed one among them. Left out, they are guessed from
        the shape of the series, as the notes say.
    seed : int
        Of the drawing, where there are more than ``most`` orders.
    most : int
        The most orders that are all gone through.

    Returns
    -------
    LotTest
        Two-sided; ties count as at least as far.

    Raises
    ------
    DesignError
        If only one setting was practised, or the observed order is not among ``lots``.

    Notes
    -----
    Where some phase is a single practice, settings alternate: every order with as many practices of each
    counts. Else the moments of change move: every set of moments with the same number of phases counts, in
    which no phase is shorter than five practices, or than the shortest observed one where that is less.

    References
    ----------
    Edgington and Onghena 2007, Randomization Tests, 4th ed. (from memory).
    """
    phase = np.asarray(phase, dtype=np.int64)
    if len(np.unique(phase)) < 2:
        raise DesignError("only one setting was practised, so there is nothing to compare")
    if not np.isfinite(response).all():
        raise DesignError("a value is missing or not a number")
    if lots is not None:
        orders = np.asarray(lots, dtype=np.int64)
        if not (orders == phase).all(axis=1).any():
            raise DesignError("the order of settings as practised is not among those that could be drawn")
        what = "the orders that the plan could have drawn"
        return _exact(response, phase, iter([orders]), len(orders), what)
    lengths = phase_lengths(phase)
    if min(lengths) == 1 and len(lengths) > 2:
        return _alternating(response, phase, seed=seed, most=most)
    return _moving_moments(response, phase, lengths, seed=seed, most=most)


def phase_lengths(phase: Integers) -> list[int]:
    """How many practices each unbroken phase has, in order."""
    turns = np.flatnonzero(np.diff(phase)) + 1
    return [int(length) for length in np.diff([0, *turns, len(phase)])]


def count_moments(n: int, phases: int, shortest: int) -> int:
    """How many ways n practices split into so many phases, none shorter than ``shortest``."""
    spare = n - phases * shortest
    return math.comb(spare + phases - 1, phases - 1) if spare >= 0 else 0


def _moving_moments(
    response: Floats, phase: Integers, lengths: list[int], *, seed: int, most: int
) -> LotTest:
    n, phases, shortest = len(phase), len(lengths), min(SHORTEST_PHASE, *lengths)
    n_lots = count_moments(n, phases, shortest)
    slots = n - phases * shortest + phases - 1
    moments = "1 moment" if phases == 2 else f"{phases - 1} moments"
    what = f"all sets of {moments} that leave phases of {shortest} or more"
    shape = _MomentShape(n=n, phases=phases, shortest=shortest, first=int(phase[0]))
    if n_lots <= most:
        chosen = np.array(list(combinations(range(slots), phases - 1)), dtype=np.int64)
        return _exact(response, phase, _chunks(chosen, shape), n_lots, what)
    draws = np.random.default_rng(seed)
    chosen = np.array([np.sort(draws.choice(slots, phases - 1, replace=False)) for _ in range(most)])
    return _drawn(response, phase, _chunks(chosen, shape), n_lots, what, seed=seed)


@dataclass(frozen=True, slots=True, kw_only=True)
class _MomentShape:
    n: int
    phases: int
    shortest: int
    first: int


def _chunks(chosen: Integers, shape: _MomentShape) -> Iterator[Integers]:
    """Turn bars among slots (each phase's spare practices) into orders of settings, a thousand at a time."""
    for start in range(0, len(chosen), 1000):
        bars = chosen[start : start + 1000]
        numbered = np.arange(1, shape.phases)
        moments = bars - (numbered - 1) + numbered * shape.shortest
        passed = (np.arange(shape.n)[None, :, None] >= moments[:, None, :]).sum(axis=2)
        yield (passed + shape.first) % 2


def _alternating(response: Floats, phase: Integers, *, seed: int, most: int) -> LotTest:
    n, new = len(phase), int(phase.sum())
    n_lots = math.comb(n, new)
    what = f"all orders with {n - new} practices of the old and {new} of the new setting"
    if n_lots <= most:
        places = np.array(list(combinations(range(n), new)), dtype=np.int64)
        orders = np.zeros((n_lots, n), dtype=np.int64)
        np.put_along_axis(orders, places, 1, axis=1)
        return _exact(response, phase, iter([orders]), n_lots, what)
    draws = np.random.default_rng(seed)
    sizes = [min(1000, most - done) for done in range(0, most, 1000)]
    shuffled = (draws.permuted(np.tile(phase, (size, 1)), axis=1) for size in sizes)
    return _drawn(response, phase, shuffled, n_lots, what, seed=seed)


def _differences(response: Floats, orders: Integers) -> Floats:
    """Mean of the new setting minus mean of the old, for each order."""
    new = orders.sum(axis=1)
    total_new = orders @ response
    differences: Floats = total_new / new - (response.sum() - total_new) / (orders.shape[1] - new)
    return differences


def _counted(response: Floats, phase: Integers, orders: Iterator[Integers]) -> tuple[float, int, int, int]:
    """Observed difference; how many orders are as far, as high; how many there are."""
    centred = response - response.mean()
    observed = float(_differences(centred, phase[None, :])[0])
    slack = 1e-10 * max(float(np.max(np.abs(centred))), 1e-300)
    far = high = gone = 0
    for some in orders:
        differences = _differences(centred, some)
        far += int(np.sum(np.abs(differences) >= abs(observed) - slack))
        high += int(np.sum(differences >= observed - slack))
        gone += len(some)
    return observed, far, high, gone


def _exact(response: Floats, phase: Integers, orders: Iterator[Integers], n_lots: int, what: str) -> LotTest:
    observed, far, high, gone = _counted(response, phase, orders)
    smallest = 1 / n_lots
    return LotTest(
        difference=observed,
        p=far / gone,
        smallest_p=smallest,
        n_lots=n_lots,
        n_as_far=far,
        n_as_high=high,
        n_gone_through=gone,
        monte_carlo_error=0.0,
        algorithm=(
            f"difference of phase means among {what} ({n_lots}, all gone through), two-sided, no trend; "
            f"the smallest possible p is {smallest:.4g}; {IF_DRAWN}"
        ),
    )


def _drawn(
    response: Floats, phase: Integers, orders: Iterator[Integers], n_lots: int, what: str, *, seed: int
) -> LotTest:
    observed, far, high, gone = _counted(response, phase, orders)
    # The observed order is one of the lots, so it is counted with those drawn: p is never 0.
    p, smallest = (far + 1) / (gone + 1), 1 / (gone + 1)
    error = math.sqrt(p * (1 - p) / gone)
    return LotTest(
        difference=observed,
        p=p,
        smallest_p=smallest,
        n_lots=n_lots,
        n_as_far=far,
        n_as_high=high,
        n_gone_through=gone,
        monte_carlo_error=error,
        algorithm=(
            f"difference of phase means among {what} ({_told_count(n_lots)}, {gone} drawn with seed {seed}, "
            f"p good to {error:.2g}), two-sided, no trend; the smallest possible p is {smallest:.4g}; "
            f"{IF_DRAWN}"
        ),
    )


def _told_count(n_lots: int) -> str:
    return str(n_lots) if n_lots < 10**9 else f"about 10^{len(str(n_lots)) - 1}"


def sign_flip_test(differences: Floats, *, seed: int = SEED, most: int = 2**20) -> LotTest:
    """Test paired differences against every way their signs could have fallen.

    Parameters
    ----------
    differences : (n,) float
        New minus old within each pair that was allotted by lot.
    seed, most : int
        As in ``randomisation_test``.

    Returns
    -------
    LotTest
        Two-sided; zero differences stay in, and ties count as at least as far.

    Raises
    ------
    DesignError
        If there is no pair, or a value is missing.

    References
    ----------
    Fisher 1935, The Design of Experiments, section 21 (from memory).
    """
    differences = np.asarray(differences, dtype=np.float64)
    if len(differences) == 0 or not np.isfinite(differences).all():
        raise DesignError("there is no pair to compare, or a value is missing")
    n_lots = 2 ** len(differences)
    is_exact = n_lots <= most
    sums = (
        _all_signed_sums(differences) if is_exact else _drawn_signed_sums(differences, seed=seed, most=most)
    )
    total = float(differences.sum())
    slack = 1e-10 * max(float(np.sum(np.abs(differences))), 1e-300)
    far, high = int(np.sum(np.abs(sums) >= abs(total) - slack)), int(np.sum(sums >= total - slack))
    extra = 0 if is_exact else 1
    p, smallest = (far + extra) / (len(sums) + extra), 1 / (len(sums) + extra)
    error = 0.0 if is_exact else math.sqrt(p * (1 - p) / len(sums))
    how = "all gone through" if is_exact else f"{len(sums)} drawn with seed {seed}, p good to {error:.2g}"
    return LotTest(
        difference=total / len(differences),
        p=p,
        smallest_p=smallest,
        n_lots=n_lots,
        n_as_far=far,
        n_as_high=high,
        n_gone_through=len(sums),
        monte_carlo_error=error,
        algorithm=(
            f"sum of paired differences among all ways their signs could fall ({_told_count(n_lots)}, "
            f"{how}), "
            f"two-sided; the smallest possible p is {smallest:.4g}; "
            "it counts only if each pair was allotted by lot"
        ),
    )


def _all_signed_sums(differences: Floats) -> Floats:
    """List the sums under every choice of signs, doubling the list once a pair."""
    sums = np.zeros(1)
    for difference in np.abs(differences):
        sums = np.concatenate([sums + difference, sums - difference])
    return sums


def _drawn_signed_sums(differences: Floats, *, seed: int, most: int) -> Floats:
    draws = np.random.default_rng(seed)
    chunks = [
        draws.choice((-1.0, 1.0), size=(min(2**14, most - done), len(differences))) @ differences
        for done in range(0, most, 2**14)
    ]
    return np.concatenate(chunks)
