"""How many orders are still open when no setting may come too often in a row."""

from __future__ import annotations

from functools import lru_cache


@lru_cache(maxsize=200_000)
def ways_left(old: int, new: int, last: int, run: int, longest: int) -> int:
    """Count the ways to go on.

    Parameters
    ----------
    old, new : int
        Practices left of each setting.
    last, run : int
        The setting of the last practice, and how many in a row it has had; a run of 0 at the beginning.
    longest : int
        The longest run allowed.

    Notes
    -----
    A whole run is laid down at a time, so that calls nest no deeper than there are runs.
    """
    if min(old, new) < 0 or run > longest:
        return 0
    if old + new == 0:
        return 1
    if run == 0:
        return sum(ways_left(old - (s == 0), new - (s == 1), s, 1, longest) for s in (0, 1))
    left = (old, new)
    ways = 0
    for more in range(min(longest - run, left[last]) + 1):
        rest = (old - more, new) if last == 0 else (old, new - more)
        if sum(rest) == 0:
            ways += 1
            continue
        other = 1 - last
        if rest[other] > 0:
            ways += ways_left(rest[0] - (other == 0), rest[1] - (other == 1), other, 1, longest)
    return ways
