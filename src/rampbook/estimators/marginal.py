"""The estimate of one effect, with rho and the noise share integrated out: the batched code with one series."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.grid import Grid, grid_for
from rampbook.estimators.judge import judge
from rampbook.estimators.kernel import Floats, GridFit, fit_effect, fit_grid
from rampbook.estimators.model import Model

LEAST_DF = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """An effect on the link scale (log ratio or points), numbers only.

    Attributes
    ----------
    effect, low, high : float
        Weighted mean over the grid, and the interval.
    p : float
        Two-sided; below ``1 - confidence`` just where the interval leaves out no effect.
    stretch : float
        The factor by which the mixture was stretched about its centre.
    rho_mean, rho_low, rho_high : float
        What the fit thinks of the autocorrelation over one typical gap.
    """

    effect: float
    low: float
    high: float
    p: float
    confidence: float
    stretch: float
    rho_mean: float
    rho_low: float
    rho_high: float
    fit: GridFit
    grid: Grid
    column: int


def leaves_nothing(response: Floats, design: Floats) -> bool:
    """Whether the design explains a response without any remainder beyond rounding."""
    remainder = response - design @ np.linalg.lstsq(design, response, rcond=None)[0]
    return float(np.sum(remainder**2)) <= 1e-20 * max(1.0, float(np.sum(response**2)))


def refuse_flat(model: Model) -> None:
    """Refuse a series that the design fits without any remainder: it has no interval.

    Raises
    ------
    DesignError
        When nothing varies, or when too few practices are left beside the coefficients.
    """
    n, p = model.design.shape
    if n - p < LEAST_DF:
        raise DesignError(
            f"{n} practices are too few for {p} coefficients ({', '.join(model.names)}): at least {p + LEAST_DF} are "
            "needed. Log more practices, leave out a covariate, or use --no-trend."
        )
    if leaves_nothing(model.response, model.design):
        raise DesignError(
            f"The {n} practices do not vary around the trend and the change, so there is nothing to judge an effect "
            "against and no interval can be given. Log the outcome more finely (for example tenths of a second)."
        )


def fit_model(model: Model, grid: Grid) -> GridFit:
    """Fit one model at every grid point (the batched kernel with one series)."""
    return fit_grid(model.response[None], model.design[None], model.gaps[None], model.noise[None], grid)


def central_effect(model: Model, kind_name: str) -> float:
    """Give the effect on the link scale without its interval, for a comparison in passing.

    Raises
    ------
    DesignError
        As `refuse_flat`.
    """
    refuse_flat(model)
    fit = fit_model(model, grid_for(kind_name))
    return float(np.sum(fit.weight[0] * fit.beta[0, :, model.effect]))


def estimate_effect(model: Model, kind_name: str, *, confidence: float) -> Estimate:
    """Estimate the effect of a model.

    Parameters
    ----------
    model : Model
    kind_name : str
        Sets the prior over the noise share.
    confidence : float
        Between 0.5 and 1.
    """
    refuse_flat(model)
    grid = grid_for(kind_name)
    design = np.column_stack([np.delete(model.design, model.effect, axis=1), model.design[:, model.effect]])
    alone = fit_effect(model.response[None], design[None], model.gaps[None], model.noise[None], grid)
    judged = judge(alone, grid, model.response.size, confidence)
    fit = fit_model(model, grid)
    rho = _rho_summary(grid, fit.weight[0])
    return Estimate(
        effect=float(judged.effect[0]),
        low=float(judged.low[0]),
        high=float(judged.high[0]),
        p=float(judged.p[0]),
        confidence=confidence,
        stretch=float(judged.stretch[0]),
        rho_mean=rho[0],
        rho_low=rho[1],
        rho_high=rho[2],
        fit=fit,
        grid=grid,
        column=model.effect,
    )


def _rho_summary(grid: Grid, weight: Floats) -> tuple[float, float, float]:
    """Mean and 2.5% and 97.5% points of the autocorrelation; where h is 1 rho means nothing and is left out."""
    meaningful = grid.h < 1
    values = np.unique(grid.rho)
    mass = np.array([weight[meaningful & (grid.rho == value)].sum() for value in values])
    mass = mass / mass.sum()
    reached = np.cumsum(mass)
    low, high = (float(values[min(int(np.searchsorted(reached, q)), values.size - 1)]) for q in (0.025, 0.975))
    return float(np.sum(mass * values)), low, high


def line(estimate: Estimate, rows: Floats) -> tuple[Floats, Floats, Floats]:
    """Mean and interval of fitted lines, (m,) each, for design rows (m, p): a normal summary of the mixture."""
    from scipy.special import stdtrit

    fit = estimate.fit
    weight = fit.weight[0][:, None]
    means = fit.beta[0] @ rows.T
    variances = fit.sigma2[0][:, None] * np.einsum("mp,gpq,mq->gm", rows, fit.unscaled[0], rows)
    mean = np.sum(weight * means, axis=0)
    spread = np.sqrt(np.sum(weight * (variances + (means - mean) ** 2), axis=0))
    reach = -stdtrit(fit.df, 0.5 * (1.0 - estimate.confidence)) * estimate.stretch
    return mean, mean - reach * spread, mean + reach * spread
