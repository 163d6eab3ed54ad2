"""The prior over what a club cannot know: the correlation between practices and the share of noise in them.

Flat over both. Correlation may be negative: a prior that allows only positive values is too confident when
settings alternate practice by practice (simulated; see the analyses folder).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

RHO = np.array([-0.4, -0.25, -0.1, 0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95])
NOISE_SHARE = (0.0, 0.35, 0.7)
LOW, HIGH, MIDDLE_SHARE = 0.05, 0.65, 0.35
# Counts and successes may be pure sampling noise, with nothing shared within a practice.
NOISE_SHARE_SAMPLED = (*NOISE_SHARE, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Grid points of (rho, h), each with equal prior weight.

    Attributes
    ----------
    rho : (G,) float
        Correlation over one typical gap between practices.
    h : (G,) float
        Share of the variance that is noise within practices: V = (1 - h) R(rho) + h D.
    """

    rho: Floats
    h: Floats

    @property
    def size(self) -> int:
        """Number of grid points."""
        return int(self.rho.size)


def grid_for(kind_name: str) -> Grid:
    """Give the grid of one kind of outcome.

    At h = 1 nothing depends on rho, so that point stands once for every rho: the prior stays flat in h.
    """
    shares = NOISE_SHARE_SAMPLED if kind_name in ("count", "success") else NOISE_SHARE
    rho, h = np.meshgrid(RHO, np.asarray(shares), indexing="ij")
    return Grid(rho=rho.ravel(), h=h.ravel())


def prior_text(kind_name: str) -> str:
    """Say the prior in words, for the method line of a result."""
    shares = NOISE_SHARE_SAMPLED if kind_name in ("count", "success") else NOISE_SHARE
    listed = ", ".join(f"{share:g}" for share in shares)
    return (
        f"flat over autocorrelation {RHO[0]:g} to {RHO[-1]:g} ({RHO.size} points) and over noise share {listed}; "
        "variance free (flat on its logarithm); level, trend and effect flat"
    )
