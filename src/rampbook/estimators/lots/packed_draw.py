"""Choices of k practices out of n drawn sixteen practices at a time, straight into bytes."""

from __future__ import annotations

from functools import lru_cache
from math import comb

import numpy as np
from numpy.typing import NDArray

from rampbook.estimators.lots.numbers import Floats, Integers, Packed

WIDTH = 16
# Beyond this there are too many ways to share the chosen practices out over the blocks.
MOST_PLACES = 4 * WIDTH


def draw_packed_subsets(draws: np.random.Generator, n: int, k: int, how_many: int) -> Packed:
    """Draw choices of k out of n <= 64 places, (n / 8, how_many), in no telling order: shuffle them if it matters.

    Notes
    -----
    First how many of the drawn choices share their k places out over blocks of sixteen in each possible way: one
    multinomial draw for all of them together, which is why they come sorted. Then, within each block, one of the
    patterns with so many places, all of which are equally likely.
    """
    widths = (WIDTH,) * (n // WIDTH) + ((n % WIDTH,) if n % WIDTH else ())
    shares, chances = ways_to_share(widths, k)
    often = draws.multinomial(how_many, chances)
    words = np.empty((len(widths), how_many), dtype="<u2")
    for block, width in enumerate(widths):
        patterns, starts, sizes = _patterns(width)
        first = np.repeat(starts[shares[:, block]], often)
        spread = np.repeat(sizes[shares[:, block]], often)
        words[block] = patterns.take(first + (draws.random(how_many) * spread).astype(np.int64))
    as_bytes = words.view(np.uint8).reshape(len(widths), how_many, 2).swapaxes(1, 2)
    return as_bytes.reshape(2 * len(widths), how_many)[: -(-n // 8)]


@lru_cache(maxsize=32)
def ways_to_share(widths: tuple[int, ...], k: int) -> tuple[Integers, Floats]:
    """Give the ways to share k places out over blocks, (ways, blocks), and their chances."""
    shares, ways = np.zeros((1, 0), dtype=np.int64), np.ones(1)
    for width in widths:
        here = np.arange(width + 1)
        choices = np.array([comb(width, j) for j in here], dtype=np.float64)
        shares = np.column_stack([np.repeat(shares, width + 1, axis=0), np.tile(here, len(shares))])
        ways = np.outer(ways, choices).ravel()
        open_still = shares.sum(axis=1) <= k
        shares, ways = shares[open_still], ways[open_still]
    full = shares.sum(axis=1) == k
    return shares[full], ways[full] / ways[full].sum()


@lru_cache(maxsize=WIDTH)
def _patterns(width: int) -> tuple[NDArray[np.uint16], Integers, Floats]:
    """Every pattern of so many bits, sorted by how many are set; where each number begins; how many it has."""
    patterns = np.arange(2**width, dtype=np.uint16)
    counts = np.bitwise_count(patterns)
    sizes = np.bincount(counts, minlength=width + 1)
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    return patterns[np.argsort(counts, kind="stable")], starts.astype(np.int64), sizes.astype(np.float64)
