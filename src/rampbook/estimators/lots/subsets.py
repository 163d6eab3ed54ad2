"""Every choice of k practices out of n, and choices drawn by lot; all the sets of lots are built from them."""

from __future__ import annotations

from itertools import chain, combinations
from math import comb

import numpy as np

from rampbook.estimators.lots.numbers import Floats, Integers, Orders


def subset_sums(columns: Floats, k: int) -> Floats:
    """Add up each column over every choice of k rows.

    Parameters
    ----------
    columns : (n, q) float
    k : int
        Between 0 and n.

    Returns
    -------
    (n over k, q) float

    Notes
    -----
    Row after row, the choices of j rows are those made without the new row and those of j - 1 with it, so each
    sum takes one addition and no choice is written out.
    """
    n, q = columns.shape
    found = {0: np.zeros((1, q))}
    for row, values in enumerate(columns):
        fewest, most = max(0, k - (n - row - 1)), min(k, row + 1)
        found = {
            j: np.concatenate(
                [part for part in (found.get(j), found[j - 1] + values if j - 1 in found else None) if part is not None]
            )
            for j in range(fewest, most + 1)
        }
    return found[k]


def draw_subsets(draws: np.random.Generator, n: int, k: int, how_many: int) -> Orders:
    """Draw choices of k out of n places, (how_many, n), 1 where a place is chosen.

    Notes
    -----
    Place after place, each is taken with the chance (still needed) / (places left), which makes all choices
    equally likely (selection sampling; Fan, Muller and Rezucha 1962, J Am Stat Assoc 57:387-402, from memory).
    All the choices are made at once, one place at a time.
    """
    chance = draws.random((n, how_many))
    chosen = np.empty((n, how_many), dtype=np.int8)
    needed = np.full(how_many, float(k))
    for place in range(n):
        chance[place] *= n - place
        np.less(chance[place], needed, out=chosen[place].view(np.bool_))
        needed -= chosen[place]
    return chosen.T


def subset_places(n: int, k: int) -> Integers:
    """Give the places of every choice of k out of n, (n over k, k), in order."""
    flat = chain.from_iterable(combinations(range(n), k))
    return np.fromiter(flat, dtype=np.int64, count=comb(n, k) * k).reshape(-1, k)
