"""The cells of the study: what is measured, in which design, with how much autocorrelation, learning and holiday."""

from __future__ import annotations

from dataclasses import dataclass
from fnmatch import fnmatch
from itertools import product

import numpy as np

from analyses.calibration.designs import DESIGNS, Design

KINDS = ("time", "count", "rating", "success")
AUTOCORRELATIONS = (0.0, 0.3, 0.6)
COUNT_MEANS = (1.0, 2.0, 8.0)
DISPERSIONS = (0.0, 0.3)
REPS = {"time": 4000, "count": 2000, "rating": 2000, "success": 2000}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell of the study.

    Attributes
    ----------
    kind : str
        ``time``, ``count``, ``rating`` or ``success``.
    mean, dispersion : float
        For counts: mean a practice at exposure 1 in the middle of the series, and the excess in
        Var = mean + dispersion · mean². 0 for the other kinds.
    design : str
        A name in ``designs.DESIGNS``.
    compared : bool
        Whether an untouched series was measured at the same practices.
    rho : float
        Correlation of the practice effects over one typical gap.
    learning : bool
        Whether the athlete gets better from practice to practice.
    irregular : bool
        Whether the gaps differ, with a break of three weeks in the middle.
    place : int
        Where the cell stands in the whole grid; its seed hangs on it.
    """

    kind: str
    design: str
    mean: float = 0.0
    dispersion: float = 0.0
    compared: bool
    rho: float
    learning: bool
    irregular: bool
    place: int = 0

    @property
    def practices(self) -> Design:
        """The order of settings."""
        return DESIGNS[self.design]

    @property
    def variant(self) -> str:
        """The kind, and for counts how many and how spread."""
        return f"count-{self.mean:g}-{self.dispersion:g}" if self.kind == "count" else self.kind

    @property
    def name(self) -> str:
        """One line that tells the cell from every other."""
        return " ".join(
            (
                self.variant,
                self.design,
                "compared" if self.compared else "alone",
                f"rho{self.rho:g}",
                "learning" if self.learning else "steady",
                "break" if self.irregular else "regular",
            )
        )

    def seed(self, master: int) -> np.random.SeedSequence:
        """Seed of this cell: the child of the master seed at its place, whichever other cells are run."""
        return np.random.SeedSequence(master, spawn_key=(self.place,))


def _variants() -> list[tuple[str, float, float, float]]:
    """Every (kind, mean, dispersion, rho); without dispersion a count has no practice effect to correlate."""
    counts = [
        ("count", mean, dispersion, rho)
        for mean, dispersion, rho in product(COUNT_MEANS, DISPERSIONS, AUTOCORRELATIONS)
        if dispersion > 0 or rho == 0
    ]
    return [
        row
        for kind in KINDS
        for row in (counts if kind == "count" else [(kind, 0.0, 0.0, rho) for rho in AUTOCORRELATIONS])
    ]


def all_cells() -> tuple[Cell, ...]:
    """Give the whole grid, always in the same order."""
    choices = product(_variants(), DESIGNS, (False, True), (False, True), (False, True))
    return tuple(
        Cell(
            kind=kind, mean=mean, dispersion=dispersion, rho=rho, design=design, compared=compared,
            learning=learning, irregular=irregular, place=place,
        )
        for place, ((kind, mean, dispersion, rho), design, compared, learning, irregular) in enumerate(choices)
    )  # fmt: skip


def cells_like(pattern: str = "*", *, kind: str | None = None) -> tuple[Cell, ...]:
    """Give the cells of one kind whose name fits a pattern of ``*`` and ``?``."""
    return tuple(cell for cell in all_cells() if (kind is None or cell.kind == kind) and fnmatch(cell.name, pattern))


def cell_named(name: str) -> Cell:
    """Give the cell of exactly this name."""
    return next(cell for cell in all_cells() if cell.name == name)
