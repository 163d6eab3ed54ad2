"""Where in a plot a label can stand without touching a mark or a line."""

from __future__ import annotations

from collections.abc import Callable, Iterable

CELL = 4


class FreeRoom:
    """The plot as a grid of small cells, each either free or taken.

    Parameters
    ----------
    left, top, right, bottom : float
        The plot in pixels.
    """

    def __init__(self, left: float, top: float, right: float, bottom: float) -> None:
        self.left, self.top = left, top
        self.columns = max(int((right - left) // CELL), 1)
        self.rows = max(int((bottom - top) // CELL), 1)
        self._taken = [bytearray(self.columns) for _ in range(self.rows)]

    def take(self, left: float, top: float, right: float, bottom: float) -> None:
        """Mark a rectangle as taken."""
        first, last = self._column(left), self._column(right)
        if last < 0 or first >= self.columns:
            return
        first, last = max(first, 0), min(last, self.columns - 1)
        for row in range(max(self._row(top), 0), min(self._row(bottom), self.rows - 1) + 1):
            self._taken[row][first : last + 1] = b"\x01" * (last + 1 - first)

    def take_line(self, places: Iterable[tuple[float, float]], *, around: float = 3.0) -> None:
        """Mark a polyline as taken, with some room around it."""
        before: tuple[float, float] | None = None
        for x, y in places:
            if before is not None:
                steps = int(max(abs(x - before[0]), abs(y - before[1])) // CELL) + 1
                for i in range(steps + 1):
                    at_x = before[0] + (x - before[0]) * i / steps
                    at_y = before[1] + (y - before[1]) * i / steps
                    self.take(at_x - around, at_y - around, at_x + around, at_y + around)
            before = (x, y)

    def find(self, width: float, height: float, cost: Callable[[float, float], float]) -> tuple[float, float] | None:
        """Find the free rectangle of this size whose corner has the least cost.

        Parameters
        ----------
        width, height : float
            The size wanted, in pixels.
        cost : callable
            From the left and top of a rectangle to how unwelcome it is.

        Returns
        -------
        tuple of float, or None
            Left and top in pixels; None where there is no room.
        """
        wide, high = int(width // CELL) + 1, int(height // CELL) + 1
        sums = self._sums()
        best: tuple[float, float, float] | None = None
        for row in range(self.rows - high + 1):
            above, below = sums[row], sums[row + high]
            for column in range(0, self.columns - wide + 1, 2):
                end = column + wide
                if below[end] - below[column] - above[end] + above[column]:
                    continue
                x, y = self.left + column * CELL, self.top + row * CELL
                price = cost(x, y)
                if best is None or price < best[0]:
                    best = (price, x, y)
        return best[1:] if best else None

    def _sums(self) -> list[list[int]]:
        """Give, for each corner, how many taken cells lie above and left of it."""
        sums = [[0] * (self.columns + 1)]
        for taken in self._taken:
            row, total = [0], 0
            for column, cell in enumerate(taken):
                total += cell
                row.append(sums[-1][column + 1] + total)
            sums.append(row)
        return sums

    def _column(self, x: float) -> int:
        return int((x - self.left) // CELL)

    def _row(self, y: float) -> int:
        return int((y - self.top) // CELL)
