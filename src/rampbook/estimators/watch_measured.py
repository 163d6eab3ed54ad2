"""What `analyses/harm_watch.py` measured of the watch, as far as it is told to users; a test holds it to that table.

Where cells differ in how practices vary, the slower one stands here, so that nobody is promised too much.
"""

from __future__ import annotations

import math

# Of watches of a change that did nothing, with 5 or more practices before: the average of all cells, and the worst.
FALSE_ALARMS: dict[str, tuple[float, float]] = {"count": (0.070, 0.138), "rating": (0.066, 0.123)}
BEFORES = (3, 5, 8, 15)
# Events a practice: practices until half of the watches see a doubled rate, for 3, 5, 8 and 15 practices before.
# None: not within 15.
DOUBLED: dict[float, tuple[float | None, ...]] = {
    0.3: (None, None, None, None),
    1.0: (None, None, None, 11.0),
    2.0: (None, None, 12.0, 7.0),
    8.0: (None, None, 8.0, 4.0),
}
# The same for ratings that got 2 points worse.
TWO_POINTS: tuple[float | None, ...] = (9.0, 6.0, 4.0, 3.0)


def shows_after(kind: str, n_before: int, events: float = 0.0) -> int | None:
    """Give the practices after which half of the watches see a doubled rate, or ratings 2 points worse.

    Parameters
    ----------
    kind : str
        ``count`` or ``rating``.
    n_before : int
        Practices before the change; the nearest smaller one measured is taken.
    events : float
        Events a practice before; the nearest smaller one measured is taken.

    Returns
    -------
    int or None
        None where it is not within 15 practices, or was never measured.
    """
    place = max((i for i, known in enumerate(BEFORES) if known <= n_before), default=None)
    mean = max((known for known in DOUBLED if known <= events), default=None)
    if place is None or (kind == "count" and mean is None):
        return None
    found = TWO_POINTS[place] if kind == "rating" or mean is None else DOUBLED[mean][place]
    return None if found is None else math.ceil(found)
