"""Looking often: how much wider an interval must be that is read after every practice up to a declared end.

One interval of 95% leaves out no effect in 5% of do-nothing changes. Who looks after every practice gives chance
many such draws. So do-nothing series are drawn for the design as it will be at the declared end, the estimator
is put to every look of each, and the widest stretch that any look would have needed is kept. The boundary is the
stretch that holds for all looks together in as many series as the confidence says. It is one further factor on the
stretch of `stretch`, the same at every look, so that p and interval still say the same (in the manner of Pocock 1977,
Biometrika 64:191-199, one boundary for all looks, here found by simulation instead of from a table).

The chance is averaged over what the fit thinks of the noise share and of the autocorrelation, of the latter over the
half of its weight where looking often errs most. The whole weight would leave the interval right in the worst cells
too seldom: a fit of few practices takes the autocorrelation to be nearer the middle than it is. What this holds,
and what it costs, is measured by analyses/looking_often.py.

With 300 draws at each grid point the Monte-Carlo standard deviation of the factor is about 0.02 (up to 0.03 with five
practices before), which is some 0.4 points on a chance of 5%. The draws are the same for the same design.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from rampbook.estimators.grid import Grid, grid_for
from rampbook.estimators.kernel import EffectFit, Floats, grid_weights, whiten
from rampbook.estimators.marginal import LEAST_DF, Estimate
from rampbook.estimators.mixture import centre, quantile, stretched, two_sided_p
from rampbook.estimators.model import TREND, Model
from rampbook.estimators.simulate import simulate_null
from rampbook.estimators.stretch import stretch

LEAST_SIDE = 3
MOST_UNTIL = 200
DRAWS = 300
# More looks than these add hardly anything: neighbouring looks share all but one practice.
MOST_LOOKS = 24
# The part of each fit's weight that is averaged over: that on the autocorrelations where looking often errs most.
WORSE_PART = 0.5
# A stretch is never taken below 1, so needs far below it are not worked out to the last digit.
_NEAR = 0.6
_CHUNK = 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The series as it will be at the declared end, in a form that can be remembered.

    Attributes
    ----------
    design : tuple of rows
        Columns of the model, the effect last.
    gaps, noise : tuple of float
        As the kernel takes them; 1 for practices to come.
    looks : tuple of int
        Number of practices, old and new setting together, at each look; the last is all of them.
    """

    design: tuple[tuple[float, ...], ...]
    gaps: tuple[float, ...]
    noise: tuple[float, ...]
    looks: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Looks:
    """An estimate that allows for looking after every practice up to a declared end.

    Attributes
    ----------
    estimate : Estimate
        With interval, p and stretch adjusted.
    declared : int
        Practices with the new setting at which one looks last.
    taken : int
        Looks that were possible so far: after every practice with at least three on either side.
    planned : int
        Looks up to the declared end.
    factor : float
        What the plain interval was stretched by.
    """

    estimate: Estimate
    declared: int
    taken: int
    planned: int
    factor: float

    def told(self) -> dict[str, int | float]:
        """Give what the JSON of a result says of the looks."""
        return {name: getattr(self, name) for name in ("declared", "taken", "planned", "factor")}


def allow_for_looks(model: Model, estimate: Estimate, kind_name: str, declared: int) -> Looks:
    """Widen an estimate so that it may be read after every practice up to ``declared`` with the new setting.

    Where more were held, the boundary is that of the declared end.

    Parameters
    ----------
    model : Model
        At least three practices on either side.
    estimate : Estimate
        Of this model, for one look.
    kind_name : str
        Sets the grid.
    declared : int
        Practices with the new setting in all, at least three.
    """
    plan = plan_looks(model, declared)
    n = model.response.size
    by = float(factor(plan, grid_for(kind_name), estimate.confidence, estimate.fit.weight)[0])
    return Looks(
        estimate=widened(estimate, by),
        declared=declared,
        taken=sum(look <= n for look in _possible(model.design[:, model.effect])),
        planned=len(_possible(np.array([row[-1] for row in plan.design]))),
        factor=by,
    )


def widened(estimate: Estimate, by: float) -> Estimate:
    """Stretch an estimate about its centre by a further factor; p follows."""
    if by == 1.0:
        return estimate
    fit, weight = estimate.fit, estimate.fit.weight
    beta, se = fit.beta[..., estimate.column], fit.standard_error(estimate.column)
    beta, se = stretched(beta, se, weight, np.array([by * estimate.stretch]))
    low, high = (estimate.effect + by * (end - estimate.effect) for end in (estimate.low, estimate.high))
    p = float(two_sided_p(beta, se, weight, fit.df)[0])
    return replace(estimate, low=low, high=high, p=p, stretch=by * estimate.stretch)


def plan_looks(model: Model, declared: int) -> Plan:
    """Give the design at the declared end.

    Practices to come have the new setting, the typical gap and the typical noise; declared covariates go through
    their past values once more. Practices beyond the declared end are left out.
    """
    phase = model.design[:, model.effect]
    held = np.cumsum(phase)
    more = max(0, declared - int(held[-1]))
    keep = int(np.searchsorted(held, declared)) + 1 if held[-1] >= declared else phase.size
    design = model.design[np.arange(keep + more) % keep]
    design[keep:, model.effect] = 1.0
    if TREND in model.names:
        design[:, model.names.index(TREND)] = np.arange(keep + more) - (keep + more - 1) / 2.0
    one = np.ones(more)
    design = np.column_stack([np.delete(design, model.effect, axis=1), design[:, model.effect]])
    looks = [look for look in _possible(design[:, -1]) if _answerable(design[:look])]
    return Plan(
        design=tuple(map(tuple, design.tolist())),
        gaps=tuple(np.concatenate([model.gaps[:keep], one]).tolist()),
        noise=tuple(np.concatenate([model.noise[:keep], one]).tolist()),
        looks=_thinned(looks),
    )


def _possible(phase: Floats) -> list[int]:
    """Give the number of practices at every look: from three practices on either side on, the last one always."""
    new = np.cumsum(phase)
    old = np.arange(1, phase.size + 1) - new
    looks = (np.flatnonzero(np.minimum(new, old) >= LEAST_SIDE) + 1).tolist()
    return looks or [int(phase.size)]


def _answerable(design: Floats) -> bool:
    scaled = design / np.maximum(np.sqrt((design**2).sum(axis=0)), 1e-300)
    n, p = design.shape
    return n - p >= LEAST_DF and bool(np.linalg.matrix_rank(scaled, tol=1e-9) == p)


def _thinned(looks: list[int]) -> tuple[int, ...]:
    """Keep the first, the last and evenly spread looks between them."""
    kept = np.unique(np.round(np.linspace(0, len(looks) - 1, min(MOST_LOOKS, len(looks)))).astype(int))
    return tuple(looks[i] for i in kept)


def factor(plan: Plan, grid: Grid, confidence: float, weight: Floats) -> Floats:
    """Give the factor by which the intervals of S fits must be stretched further, (S,), at least 1.

    Parameters
    ----------
    plan : Plan
    grid : Grid
    confidence : float
        Chance with which all looks together hold.
    weight : (S, G) float
        What each fit thinks of the grid points.
    """
    if len(plan.looks) < 2:
        return np.ones(weight.shape[0])
    candidates, crossed = _crossed(plan, tuple(grid.rho.tolist()), tuple(grid.h.tolist()), confidence)
    below, reached = np.full(weight.shape[0], -1), np.full(weight.shape[0], candidates.size - 1)
    while np.any(reached - below > 1):
        middle = np.maximum((below + reached) // 2, 0)
        holds = _chance(weight, grid, crossed[:, middle].T) <= 1.0 - confidence
        below, reached = np.where(holds, below, middle), np.where(holds, middle, reached)
    return np.asarray(candidates[reached])


def _chance(weight: Floats, grid: Grid, crossed: Floats) -> Floats:
    """Average chances of the grid points, (S, G), over the half of each fit's weight where looking often errs most.

    The half is taken of the autocorrelations, since a fit of few practices takes them to be nearer the middle than
    they are; the noise share is averaged over as the fit has it.
    """
    values, which = np.unique(grid.rho, return_inverse=True)
    within = (which[:, None] == np.arange(values.size)).astype(float)
    mass, hits = weight @ within, (weight * crossed) @ within
    errs = hits / np.maximum(mass, 1e-300)
    worst_first = np.argsort(-errs, axis=1, kind="stable")
    mass, errs = (np.take_along_axis(part, worst_first, axis=1) for part in (mass, errs))
    kept = np.clip(WORSE_PART - (np.cumsum(mass, axis=1) - mass), 0.0, mass)
    return np.asarray(np.sum(kept * errs, axis=1) / WORSE_PART)


@lru_cache(maxsize=64)
def _crossed(plan: Plan, rho: tuple[float, ...], h: tuple[float, ...], confidence: float) -> tuple[Floats, Floats]:
    """Give candidate factors from 1 up, (J,), and the share of draws of each grid point that need more, (G, J)."""
    grid = Grid(rho=np.array(rho), h=np.array(h))
    needed = needed_stretch(plan, grid, confidence).max(axis=0).reshape(grid.size, DRAWS)
    candidates = np.unique(np.maximum(needed, 1.0))
    crossed = np.stack([1.0 - np.searchsorted(np.sort(row), candidates, side="right") / DRAWS for row in needed])
    return candidates, crossed


def needed_stretch(plan: Plan, grid: Grid, confidence: float) -> Floats:
    """Give the further stretch at which the interval of each look just reaches no effect, (looks, G · DRAWS).

    Above 1 where the plain interval leaves it out. Draws are do-nothing series, DRAWS in a row for each grid point.
    """
    design, gaps, noise = (np.array(part) for part in (plan.design, plan.gaps, plan.noise))
    drawn = simulate_null(gaps, noise, grid, DRAWS).reshape(-1, gaps.size)
    parts = []
    for start in range(0, drawn.shape[0], _CHUNK):
        fits = fit_looks(drawn[start : start + _CHUNK], design, gaps, noise, grid, plan.looks)
        parts.append(np.stack([_reach(fit, grid, n, confidence) for n, fit in fits]))
    return np.concatenate(parts, axis=1)


def fit_looks(
    responses: Floats, design: Floats, gaps: Floats, noise: Floats, grid: Grid, looks: tuple[int, ...]
) -> list[tuple[int, EffectFit]]:
    """Fit S series (S, n) of one design after each of the looks, as `kernel.fit_effect` fits the first practices.

    The whitening runs forward in time, so the whitened start of a series serves every look at it: sums of products
    up to a practice are all that a look needs.
    """
    p = design.shape[1]
    whitened, log_dets = _whitened(design, gaps, noise, grid, looks)
    shape = (len(looks), grid.size, responses.shape[0])
    beta, rss, unscaled, log_det_xtx = (np.empty(size) for size in (shape, shape, shape[:2], shape[:2]))
    for g in range(grid.size):
        x, y = whitened[g, :, :p], whitened[g, :, p:] @ responses.T
        done = 0
        xtx, xty, yty = np.zeros((p, p)), np.zeros((p, responses.shape[0])), np.zeros(responses.shape[0])
        for k, look in enumerate(looks):
            new = slice(done, look)
            xtx, xty = xtx + x[new].T @ x[new], xty + x[new].T @ y[new]
            yty = yty + np.einsum("ns,ns->s", y[new], y[new])
            root = np.linalg.inv(np.linalg.cholesky(xtx))
            fitted = root @ xty
            rss[k, g] = yty - np.einsum("ps,ps->s", fitted, fitted)
            beta[k, g] = root[:, -1] @ fitted
            unscaled[k, g] = root[-1, -1]
            log_det_xtx[k, g] = -2.0 * np.sum(np.log(np.diag(root)))
            done = look
    return [
        (look, _effect_fit(beta[k].T, rss[k].T, unscaled[k], log_dets[k], log_det_xtx[k], look - p))
        for k, look in enumerate(looks)
    ]


def _whitened(
    design: Floats, gaps: Floats, noise: Floats, grid: Grid, looks: tuple[int, ...]
) -> tuple[Floats, list[Floats]]:
    """Whiten the design and the unit vectors, (G, n, p + n); with the log determinants at every look, (G,) each."""
    columns = np.concatenate([design, np.eye(gaps.size)], axis=1)[None]
    whitened = whiten(columns, gaps[None], noise[None], grid)[0][0]
    # The whitener is triangular, so the determinant of V is that of its diagonal.
    logs = -2.0 * np.cumsum(np.log(np.einsum("gnn->gn", whitened[:, :, design.shape[1] :])), axis=1)
    return whitened, [logs[:, look - 1] for look in looks]


def _effect_fit(
    beta: Floats, rss: Floats, unscaled: Floats, log_det: Floats, log_det_xtx: Floats, df: int
) -> EffectFit:
    return EffectFit(
        beta=beta,
        se=np.sqrt(rss / df) * unscaled,
        unscaled=np.broadcast_to(unscaled, beta.shape),
        weight=grid_weights(log_det, log_det_xtx, rss, df),
        df=df,
    )


def _reach(fit: EffectFit, grid: Grid, n: int, confidence: float) -> Floats:
    """Give the further stretch at which each interval just reaches 0, (S,)."""
    from scipy.special import stdtrit

    middle = centre(fit.beta, fit.weight)
    side = np.where(middle < 0, -1.0, 1.0)
    middle, beta = middle * side, fit.beta * side[:, None]
    factors = stretch(fit, grid, n)
    tail = 0.5 * (1.0 - confidence)
    spread = np.sqrt(np.sum(fit.weight * (fit.se**2 + (beta - middle[:, None]) ** 2), axis=-1))
    out = middle / (-stdtrit(fit.df, tail) * spread * factors)
    near = out > _NEAR
    if np.any(near):
        low = quantile(np.full(int(near.sum()), tail), beta[near], fit.se[near], fit.weight[near], fit.df)
        out[near] = middle[near] / (factors[near] * (middle[near] - low))
    return np.asarray(out)
