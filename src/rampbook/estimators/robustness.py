"""Whether the answer hangs on one practice, and whether false dates give as much."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rampbook.estimators.grid import Grid, grid_for
from rampbook.estimators.kernel import EffectFit, Floats, fit_grid, grid_weights, whiten
from rampbook.estimators.marginal import LEAST_DF, Estimate, leaves_nothing
from rampbook.estimators.mixture import stretched, two_sided_p
from rampbook.estimators.model import Model
from rampbook.estimators.stretch import stretch

LEAST_SIDE = 3
MOST_DATES = 40
_LONGEST = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class WithoutOne:
    """What is left of an effect (link scale) with each of n practices left out in turn; NaN where it cannot be.

    Attributes
    ----------
    beta, se, weight : (n, G) float
        The effect, its standard error and the weight of each grid point.
    df : int
    stretch : (n,) float
        How far each mixture is stretched, as the one of the whole series is.
    confidence : float
        Of the interval of the whole series.
    """

    beta: Floats
    se: Floats
    weight: Floats
    df: int
    stretch: Floats
    confidence: float

    @property
    def effects(self) -> Floats:
        """The effects, (n,)."""
        return np.asarray(np.sum(self.weight * self.beta, axis=1))

    def leaves_out(self, value: float) -> NDArray[np.bool_]:
        """Whether the interval leaves out a value, without each practice, (n,)."""
        beta, se = stretched(self.beta, self.se, self.weight, self.stretch)
        return two_sided_p(beta - value, se, self.weight, self.df) < 1.0 - self.confidence


def without_one(model: Model, estimate: Estimate) -> WithoutOne | None:
    """Give the effect with each practice left out in turn; None with too few practices, or over 400.

    Exact and without refitting: leaving a practice out equals giving it a coefficient of its own, so the
    coefficients, the residual sum of squares and the restricted likelihood follow from one whitened fit
    (the deletion formulas of Cook & Weisberg 1982, Residuals and Influence in Regression, §2.2, in GLS form).
    The clock of the correlation keeps running over the practice that was left out.
    """
    n, p = model.design.shape
    df = n - 1 - p
    if n > _LONGEST or df < LEAST_DF:
        return None
    grid = estimate.grid
    columns = np.concatenate([model.design, model.response[:, None], np.eye(n)], axis=1)
    whitened, log_det = whiten(columns[None], model.gaps[None], model.noise[None], grid)
    effects, spread, log_det_xtx, rss = np.empty((4, grid.size, n))
    for g in range(grid.size):
        part = whitened[0, g]
        effects[g], spread[g], rss[g], log_det_xtx[g] = _deletions(
            part[:, :p], part[:, p], part[:, p + 1 :], estimate.column
        )
    weight = grid_weights(np.broadcast_to(log_det[0][:, None], (grid.size, n)).T, log_det_xtx.T, rss.T, df)
    unscaled = np.sqrt(spread.T)
    left = EffectFit(beta=effects.T, se=np.sqrt(rss.T / df) * unscaled, unscaled=unscaled, weight=weight, df=df)
    return WithoutOne(
        beta=left.beta,
        se=left.se,
        weight=weight,
        df=df,
        stretch=stretch(left, grid, n - 1),
        confidence=estimate.confidence,
    )


def leave_one_out(model: Model, estimate: Estimate) -> Floats:
    """Effect on the link scale with each practice left out in turn, (n,); NaN where it cannot be left out."""
    left = without_one(model, estimate)
    return np.full(model.response.size, np.nan) if left is None else left.effects


def _deletions(x: Floats, y: Floats, whitener: Floats, column: int) -> tuple[Floats, Floats, Floats, Floats]:
    """Effect, its unscaled variance, residual sum of squares and log determinant of X'V⁻¹X without each practice."""
    unscaled = np.linalg.inv(x.T @ x)
    beta = unscaled @ x.T @ y
    residual = y - x @ beta
    pull = whitener.T @ residual
    projected = whitener - x @ (unscaled @ (x.T @ whitener))
    own = np.einsum("ni,ni->i", projected, projected)
    own = np.where(own > 1e-12, own, np.nan)
    shift = (unscaled @ (x.T @ whitener))[column]
    effects = beta[column] - shift * pull / own
    log_det = np.linalg.slogdet(x.T @ x)[1] + np.log(own)
    rss = float(residual @ residual)
    # Where one practice held all the variation nothing is left; every grid point then gives the same exact effect.
    return effects, unscaled[column, column] + shift**2 / own, np.maximum(rss - pull**2 / own, 1e-14 * rss), log_det


def placebo_effects(model: Model, phase: Floats, kind_name: str) -> Floats:
    """Effects of false dates within the practices before the change, (m,); empty where too few practices stand there.

    Each false date leaves at least three practices on either side; at most 40 are tried, evenly spaced.
    """
    first = int(np.argmax(phase != phase[0])) if np.any(phase != phase[0]) else phase.size
    dates = _spread_out(range(LEAST_SIDE, first - LEAST_SIDE + 1))
    design = np.delete(model.design[:first], model.effect, axis=1)
    steps = [(np.arange(first) >= date).astype(float) for date in dates]
    grid = grid_for(kind_name)
    effects = [_placebo(model, design, step, first, grid) for step in steps]
    return np.array([effect for effect in effects if effect is not None], dtype=float)


def _spread_out(dates: range) -> list[int]:
    """Keep at most ``MOST_DATES``, evenly spaced: a long series has hundreds, and neighbours say the same."""
    if len(dates) <= MOST_DATES:
        return list(dates)
    return [dates[round(i * (len(dates) - 1) / (MOST_DATES - 1))] for i in range(MOST_DATES)]


def _placebo(model: Model, design: Floats, step: Floats, first: int, grid: Grid) -> float | None:
    full = np.column_stack([design, step])
    if first - full.shape[1] < LEAST_DF or np.linalg.matrix_rank(full) < full.shape[1]:
        return None
    if leaves_nothing(model.response[:first], full):
        return float(np.linalg.lstsq(full, model.response[:first], rcond=None)[0][-1])
    fit = fit_grid(model.response[None, :first], full[None], model.gaps[None, :first], model.noise[None, :first], grid)
    return float(np.sum(fit.weight[0] * fit.beta[0, :, -1]))
