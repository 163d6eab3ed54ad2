"""Orders packed eight practices to a byte: quick to draw, and quick to add up over."""

from __future__ import annotations

from math import comb

import numpy as np
from numpy.typing import NDArray

from rampbook.estimators.lots.numbers import Floats, Orders, Packed

WORD = 64
# With fewer of the words fit to keep, drawing place by place is quicker.
FEWEST_KEPT = 0.04


def pack(orders: Orders) -> Packed:
    """Pack orders, (l, n) of 0 and 1, into bytes, (n / 8, l); the first practice is the lowest bit."""
    lots, n = orders.shape
    packed = np.zeros((-(-n // 8), lots), dtype=np.uint8)
    for practice in range(n):
        packed[practice // 8] |= orders[:, practice].view(np.uint8) << np.uint8(practice % 8)
    return packed


def unpack(packed: Packed, n: int) -> Orders:
    """Give the orders, (l, n), that were packed."""
    return np.unpackbits(packed.T, axis=1, count=n, bitorder="little").view(np.int8)


def packed_sums(packed: Packed, columns: Floats) -> Floats:
    """Add up each column over the practices with the new setting.

    Parameters
    ----------
    packed : (n / 8, l) uint8
    columns : (n, q) float

    Returns
    -------
    (l, q) float

    Notes
    -----
    Each byte is looked up in a table of the 256 sums that eight practices can have. A matrix product would need
    the orders in floating point, and threads that wait for one another on a busy machine.
    """
    n, q = columns.shape
    total = np.zeros((q, packed.shape[1]))
    for start, byte in zip(range(0, n, 8), packed, strict=True):
        table = np.zeros((q, 1))
        for row in columns[start : start + 8]:
            table = np.concatenate([table, table + row[:, None]], axis=1)
        total += table.take(byte, axis=1)
    return total.T


def random_bits(draws: np.random.Generator, n: int, how_many: int) -> Packed:
    """Draw rows of n bits, each 0 or 1 by the toss of a coin; (n / 8, how_many)."""
    wide = -(-n // 8)
    packed = np.frombuffer(draws.bytes(wide * how_many), dtype=np.uint8).reshape(wide, how_many)
    if n % 8 == 0:
        return packed
    packed = packed.copy()
    packed[-1] &= np.uint8(2 ** (n % 8) - 1)
    return packed


def is_quick_to_toss(n: int, k: int) -> bool:
    """Whether enough rows of n tossed coins show k heads for ``tossed_subsets`` to be the quick way."""
    return n <= WORD and comb(n, k) >= FEWEST_KEPT * 2**n


def tossed_subsets(draws: np.random.Generator, n: int, k: int, how_many: int) -> Packed:
    """Draw choices of k out of n places, (n / 8, how_many), by keeping those rows of tossed coins with k heads.

    All rows are equally likely, so those with k heads are too.
    """
    kept: list[NDArray[np.uint64]] = []
    missing = how_many
    while missing > 0:
        tosses = int(1.05 * missing * 2**n / comb(n, k)) + 64
        words = draws.integers(0, 2**n - 1, size=tosses, dtype=np.uint64, endpoint=True)
        fit = words.compress(np.bitwise_count(words) == k)[:missing]
        kept.append(fit)
        missing -= len(fit)
    as_bytes = np.concatenate(kept).astype("<u8").view(np.uint8).reshape(how_many, WORD // 8)
    return np.ascontiguousarray(as_bytes.T[: -(-n // 8)])
