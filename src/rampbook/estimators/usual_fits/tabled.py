"""One series as the textbook fits take it: plain numbers, one row a practice, and the attempts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rampbook.units import KindName

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tabled:
    """The numbers of one series, in order of practice.

    Attributes
    ----------
    kind : str
        ``time``, ``count``, ``rating`` or ``success``.
    response : (n,) float
        Working response on the link scale: mean log seconds, log rate (with half a count added to every count
        when any is zero), mean rating, or empirical logit.
    exog : (n, p) float
        The design: a column of ones first, then (the trend), the phase, (the covariates).
    column : int
        Which column of ``exog`` is the phase (0 old setting, 1 new setting).
    count, exposure : (n,) float, optional
        For counts: how many, and in how much time or how many tries.
    successes, tries : (n,) float, optional
        For successes.
    attempt_value : (m,) float, optional
        Every attempt as it was logged: seconds for times, ratings for ratings.
    attempt_practice : (m,) int, optional
        The row of ``exog`` that each attempt belongs to.
    """

    kind: KindName
    response: Floats
    exog: Floats
    column: int
    count: Floats | None = None
    exposure: Floats | None = None
    successes: Floats | None = None
    tries: Floats | None = None
    attempt_value: Floats | None = None
    attempt_practice: Integers | None = None

    @property
    def phase(self) -> Floats:
        """The phase of every practice."""
        phase: Floats = self.exog[:, self.column]
        return phase

    @property
    def is_ratio(self) -> bool:
        """Whether a coefficient on the link scale is the logarithm of what is reported."""
        return self.kind != "rating"

    @property
    def steady_exog(self) -> Floats:
        """The design with trend and covariates centred and scaled, which moves no phase coefficient.

        Optimisers stop early when one column runs to thousands and another to one.
        """
        exog = self.exog.copy()
        for column in range(1, exog.shape[1]):
            spread = float(np.std(exog[:, column]))
            if column != self.column and spread > 0:
                exog[:, column] = (exog[:, column] - np.mean(exog[:, column])) / spread
        return exog
