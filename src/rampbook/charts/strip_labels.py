"""Labels of changes, events and breaks above the plot, in rows, so that none meets a line or another."""

from __future__ import annotations

from dataclasses import dataclass

from rampbook.charts.text_fit import text_width, unbroken, wrap

# From a line to its label, and between two labels.
NEAR = 5.0
APART = 8.0
# The search for a place for every label gives up after so many tries at one number of rows.
MOST_TRIES = 1200
MOST_LINES = 3
# Widths that a label may be broken to, as shares of the panel.
BREAKS = (0.62, 0.36, 0.22)


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """A line in the plot at pixel ``x`` that wants a label; ``role`` is change, event or gap.

    ``told`` is how it is said where it cannot be labelled.
    """

    x: float
    text: str
    role: str
    told: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A label that found its place: rows count upwards from the plot, its line reaches up to ``top_row``."""

    flag: Flag
    lines: tuple[str, ...]
    left: float
    right: float
    row: int

    @property
    def top_row(self) -> int:
        """The highest row that the label takes up."""
        return self.row + len(self.lines) - 1

    def meets(self, other: Placed) -> bool:
        """Tell whether the two labels, or the line of one and the label of the other, would touch."""
        return self._covers(other) or self._is_crossed_by(other) or other._is_crossed_by(self)

    def _covers(self, other: Placed) -> bool:
        shares_rows = self.row <= other.top_row and other.row <= self.top_row
        return shares_rows and self.left < other.right + APART and other.left < self.right + APART

    def _is_crossed_by(self, other: Placed) -> bool:
        return other.top_row >= self.row and self.left - NEAR < other.flag.x < self.right + NEAR


def place_labels(
    flags: list[Flag], *, left: float, right: float, size: float, most_rows: int = 10
) -> tuple[list[Placed], list[Flag]]:
    """Give each flag the lowest row where its label is free, beside its own line.

    Parameters
    ----------
    flags : list of Flag
        What wants a label; ``change`` flags are named before all others.
    left, right : float
        The ends of the panel in pixels, which no label passes.
    size : float
        Letter size in pixels.
    most_rows : int
        How many rows there may be.

    Returns
    -------
    tuple
        The placed labels, and the flags that found no room (to be named in words elsewhere).
    """
    rightmost_first = sorted(flags, key=lambda flag: -flag.x)
    options = [_options(flag, left, right, size, most_rows) for flag in rightmost_first]
    for rows in range(1, most_rows + 1):
        allowed = [[option for option in ones if option.top_row < rows] for ones in options]
        # Labels that all stand right of their lines, in steps, are the arrangement that most often works.
        stepped = [sorted(ones, key=lambda option: option.left < option.flag.x) for ones in allowed]
        for choices in (allowed, stepped):
            found = _assign(choices, [], [MOST_TRIES])
            if found is not None:
                return found, []
    return _as_many_as_fit(flags, left, right, size, most_rows)


def _assign(options: list[list[Placed]], placed: list[Placed], tries: list[int]) -> list[Placed] | None:
    """Place every flag, going back on a choice that leaves a later one without room; None when that fails."""
    if not options:
        return placed
    for option in options[0]:
        tries[0] -= 1
        if tries[0] < 0:
            return None
        if not _blocked(option, placed):
            found = _assign(options[1:], [*placed, option], tries)
            if found is not None:
                return found
    return None


def _as_many_as_fit(
    flags: list[Flag], left: float, right: float, size: float, most_rows: int
) -> tuple[list[Placed], list[Flag]]:
    """Place flag by flag, changes first; those that find no room are given back."""
    placed: list[Placed] = []
    homeless: list[Flag] = []
    for flag in sorted(flags, key=lambda flag: (flag.role != "change", -flag.x)):
        ones = _options(flag, left, right, size, most_rows)
        found = next((option for option in ones if not _blocked(option, placed)), None)
        if found is None:
            homeless.append(flag)
        else:
            placed.append(found)
    return placed, homeless


def _blocked(candidate: Placed, placed: list[Placed]) -> bool:
    return any(candidate.meets(other) for other in placed)


def _options(flag: Flag, left: float, right: float, size: float, most_rows: int) -> list[Placed]:
    """List the places a label may take, best first: low, and on the right of its line."""
    bold = flag.role == "change"
    shapes: list[tuple[float, str, list[str]]] = []
    for side, room in (("right", right - flag.x - NEAR), ("left", flag.x - NEAR - left)):
        for share in BREAKS:
            lines = wrap(unbroken(flag.text), max(min(room, share * (right - left)), 60.0), size, bold=bold)
            width = max(text_width(line, size, bold=bold) for line in lines)
            if width <= room and len(lines) <= MOST_LINES and (width, side, lines) not in shapes:
                shapes.append((width, side, lines))
    options = [
        Placed(
            flag=flag,
            lines=tuple(lines),
            row=row,
            left=flag.x + NEAR if side == "right" else flag.x - NEAR - width,
            right=flag.x + NEAR + width if side == "right" else flag.x - NEAR,
        )
        for width, side, lines in shapes
        for row in range(most_rows - len(lines) + 1)
    ]
    # One line lower down beats three lines: sort by the highest row taken, then by the number of lines.
    return sorted(options, key=lambda p: (p.top_row, len(p.lines), p.left < flag.x))
