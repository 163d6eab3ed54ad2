"""Response and noise of each practice, for many series at once: one scheme for all four kinds.

Times enter as the mean log seconds of a practice, ratings as their mean; counts and successes as the working
response of a Poisson or binomial fit, whose variance gives the noise (McCullagh & Nelder 1989, Generalized Linear
Models, §2.5: iterated weighted least squares). Where a phase has nothing but zeros (or nothing but hits) that fit
has no finite answer, and half counts are used: they pull the estimate toward no effect.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rampbook.series.practices import Floats

Flags = NDArray[np.bool_]
Step = Callable[[Floats, Floats, Floats], tuple[Floats, Floats]]

_MOST_STEPS = 60
_CLOSE = 1e-10
_FARTHEST = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """What the kernel takes of S series of n practices.

    Attributes
    ----------
    response, noise : (S, n) float
        Link-scale response, and its noise variance (up to a factor of each series).
    half_counts : (S,) bool
        Whether half counts replaced the working response.
    """

    response: Floats
    noise: Floats
    half_counts: Flags


def working(kind_name: str, value: Floats, size: Floats, design: Floats) -> Working:
    """Give response and noise.

    Parameters
    ----------
    kind_name : str
        time, count, rating or success.
    value, size : (S, n) float
        As in `series.practices.Summaries`.
    design : (S, n, p) float
        Columns of the model, for the fits of counts and successes.
    """
    if kind_name in ("time", "rating"):
        return Working(response=value, noise=1.0 / size, half_counts=np.zeros(value.shape[0], dtype=bool))
    step = _poisson_step if kind_name == "count" else _binomial_step
    response, noise = half_count_response(kind_name, value, size)
    eta, found = _fit(step, response, value, size, design)
    target, weight = step(eta, value, size)
    return Working(
        response=np.where(found[:, None], target, response),
        noise=np.where(found[:, None], 1.0 / weight, noise),
        half_counts=~found,
    )


def half_count_response(kind_name: str, value: Floats, size: Floats) -> tuple[Floats, Floats]:
    """Response and noise from half counts: log((y + ½) / exposure), or the empirical logit (Cox & Snell 1989, §2.1)."""
    if kind_name == "count":
        return np.log((value + 0.5) / size), 1.0 / (value + 0.5)
    missed = size - value + 0.5
    return np.log((value + 0.5) / missed), 1.0 / (value + 0.5) + 1.0 / missed


def _poisson_step(eta: Floats, count: Floats, exposure: Floats) -> tuple[Floats, Floats]:
    """Working response and weight at a log rate."""
    mu = exposure * np.exp(eta)
    return eta + (count - mu) / mu, mu


def _binomial_step(eta: Floats, hits: Floats, tries: Floats) -> tuple[Floats, Floats]:
    """Working response and weight at a logit."""
    share = 1.0 / (1.0 + np.exp(-eta))
    weight = tries * share * (1.0 - share)
    return eta + (hits - tries * share) / weight, weight


def _fit(step: Step, start: Floats, value: Floats, size: Floats, design: Floats) -> tuple[Floats, Flags]:
    """Iterate to the fitted linear predictor (S, n); and whether each series came to rest at a finite one."""
    eta, found = start.copy(), np.zeros(start.shape[0], dtype=bool)
    going = np.arange(start.shape[0])
    for _ in range(_MOST_STEPS):
        if not going.size:
            break
        target, weight = step(eta[going], value[going], size[going])
        new = _weighted_fit(target, weight, design[going])
        rest = np.max(np.abs(new - eta[going]), axis=1) < _CLOSE
        lost = ~np.all(np.abs(new) < _FARTHEST + np.abs(start[going]).max(axis=1, keepdims=True), axis=1)
        eta[going[~lost]] = new[~lost]
        found[going[rest & ~lost]] = True
        going = going[~rest & ~lost]
    return eta, found


def _weighted_fit(target: Floats, weight: Floats, design: Floats) -> Floats:
    """Fitted values of weighted least squares, (S, n)."""
    weighted = design * weight[..., None]
    beta = np.linalg.solve(np.swapaxes(weighted, 1, 2) @ design, np.einsum("snp,sn->sp", weighted, target)[..., None])
    return np.asarray((design @ beta)[..., 0])
