"""Orders packed eight practices to a byte: quick to draw, and quick to add up over."""

from __future__ import annotations

import numpy as np

from rampbook.estimators.lots.numbers import Floats, Orders, Packed

# The eight bits of every byte, the lowest first, one byte a column.
_BITS = np.unpackbits(np.arange(256, dtype=np.uint8)[None, :], axis=0, bitorder="little").astype(np.float64)


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
    Each byte is looked up in a table of the 256 sums that eight practices can have. A matrix product of all
    orders would need them in floating point, and threads that wait for one another on a busy machine.
    """
    total = np.zeros((columns.shape[1], packed.shape[1]))
    for eight, byte in enumerate(packed):
        some = columns[8 * eight : 8 * eight + 8]
        total += (some.T @ _BITS[: len(some), : 2 ** len(some)]).take(byte, axis=1)
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
