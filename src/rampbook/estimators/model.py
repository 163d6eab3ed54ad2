"""From the practices of a series to what the kernel takes: response, design and noise of each practice.

One scheme serves all four kinds. Times enter as the mean log seconds of a practice, ratings as their mean;
counts and successes as the working response of a Poisson or binomial fit, whose variance gives the noise
(McCullagh & Nelder 1989, Generalized Linear Models, §2.5: one step of iterated weighted least squares). Where a
phase has nothing but zeros (or nothing but hits) that fit has no finite answer, and half counts are used: they
pull the estimate toward no effect.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rampbook.errors import DesignError
from rampbook.series.practices import Floats, PracticeSeries, Summaries

LEVEL, EFFECT_NAME, TREND = "level", "effect", "trend"
_MAX_IRLS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """What is fitted.

    Attributes
    ----------
    response : (n,) float
        Link-scale response; a difference of the two series where there is an untouched one.
    design : (n, p) float
        Level, trend (if any), effect, covariates; trend and covariates are centred, so the level is the old
        setting in the middle of the series.
    names : tuple of str
        One for each column of ``design``.
    gaps, noise : (n,) float
        As the kernel takes them.
    half_counts : bool
        Whether half counts replaced the working response.
    main_response : (n,) float
        The response of the series alone, without the untouched one.
    """

    response: Floats
    design: Floats
    names: tuple[str, ...]
    gaps: Floats
    noise: Floats
    half_counts: bool
    main_response: Floats

    @property
    def effect(self) -> int:
        """Index of the column of the effect."""
        return self.names.index(EFFECT_NAME)


def _centred(column: Floats) -> Floats:
    """Centre and scale a column; a column of constants stays (and is refused later as saying nothing)."""
    centred = column - column.mean()
    spread = float(np.sqrt(np.mean(centred**2)))
    return np.asarray(centred / spread if spread > 0 else centred, dtype=float)


def design_columns(series: PracticeSeries, *, trend: bool) -> tuple[Floats, tuple[str, ...]]:
    """Build the design: level, trend by practice, effect, declared covariates.

    Raises
    ------
    DesignError
        When a column says the same as the others together, so that the effect has no answer of its own.
    """
    columns: list[Floats] = [np.ones(series.n)]
    names = [LEVEL]
    if trend:
        columns.append(np.arange(series.n, dtype=np.float64) - (series.n - 1) / 2.0)
        names.append(TREND)
    columns.append(series.phase.astype(float))
    names.append(EFFECT_NAME)
    for j, name in enumerate(series.covariate_names):
        columns.append(_centred(series.covariates[:, j]))
        names.append(name)
    design = np.column_stack(columns)
    _refuse_collinear(design, names)
    return design, tuple(names)


def _refuse_collinear(design: Floats, names: list[str]) -> None:
    scaled = design / np.maximum(np.sqrt((design**2).sum(axis=0)), 1e-300)
    if np.linalg.matrix_rank(scaled, tol=1e-9) == design.shape[1]:
        return
    raise DesignError(
        f"The columns {', '.join(names)} of the {design.shape[0]} practices do not differ enough to be told apart: "
        "one is made up of the others. Leave out a covariate, or use --no-trend."
    )


def _poisson_working(count: Floats, exposure: Floats, design: Floats) -> tuple[Floats, Floats] | None:
    """Working response and noise of a Poisson log-linear fit, or None where it has no finite answer."""
    offset = np.log(exposure)
    eta = np.log(count + 0.5)
    for _ in range(_MAX_IRLS):
        mu = np.exp(np.clip(eta, -30, 30))
        target = eta - offset + (count - mu) / mu
        beta = _weighted_ls(target, design, mu)
        new = design @ beta + offset
        if np.max(np.abs(new - eta)) < 1e-10:
            return new - offset + (count - np.exp(new)) / np.exp(new), 1.0 / np.exp(new)
        eta = new
        if np.min(eta) < -12 or not np.all(np.isfinite(eta)):
            return None
    return None


def _binomial_working(hits: Floats, tries: Floats, design: Floats) -> tuple[Floats, Floats] | None:
    """Working response and noise of a binomial logit fit, or None where it has no finite answer."""
    share = (hits + 0.5) / (tries + 1.0)
    eta = np.log(share / (1 - share))
    for _ in range(_MAX_IRLS):
        share = 1.0 / (1.0 + np.exp(-np.clip(eta, -30, 30)))
        weight = tries * share * (1 - share)
        beta = _weighted_ls(eta + (hits - tries * share) / weight, design, weight)
        new = design @ beta
        if np.max(np.abs(new - eta)) < 1e-10:
            share = 1.0 / (1.0 + np.exp(-new))
            weight = tries * share * (1 - share)
            return new + (hits - tries * share) / weight, 1.0 / weight
        eta = new
        if np.max(np.abs(eta)) > 12 or not np.all(np.isfinite(eta)):
            return None
    return None


def _weighted_ls(target: Floats, design: Floats, weight: Floats) -> Floats:
    root = np.sqrt(weight)
    return np.asarray(np.linalg.lstsq(design * root[:, None], target * root, rcond=None)[0])


def half_count_response(kind_name: str, summaries: Summaries) -> tuple[Floats, Floats]:
    """Response and noise from half counts: log((y + ½) / exposure), or the empirical logit (Cox & Snell 1989, §2.1)."""
    y, size = summaries.value, summaries.size
    if kind_name == "count":
        return np.log((y + 0.5) / size), 1.0 / (y + 0.5)
    return np.log((y + 0.5) / (size - y + 0.5)), 1.0 / (y + 0.5) + 1.0 / (size - y + 0.5)


def _response(kind_name: str, summaries: Summaries, design: Floats) -> tuple[Floats, Floats, bool]:
    """Response, noise, and whether half counts were needed."""
    if kind_name in ("time", "rating"):
        return summaries.value, 1.0 / summaries.size, False
    fit = _poisson_working if kind_name == "count" else _binomial_working
    working = fit(summaries.value, summaries.size, design)
    if working is not None:
        return working[0], working[1], False
    half, noise = half_count_response(kind_name, summaries)
    return half, noise, True


def build_model(series: PracticeSeries, *, trend: bool) -> Model:
    """Give response, design and noise of a series; with an untouched series, of the difference of the two.

    The difference takes away what the two share on a day (surface, battery, mood) whatever its size, also a
    step that falls on the change itself.
    """
    design, names = design_columns(series, trend=trend)
    main, noise, half = _response(series.kind.name, series.main, design)
    response = main
    if series.control is not None:
        other, other_noise, other_half = _response(series.kind.name, series.control, design)
        response, noise, half = main - other, noise + other_noise, half or other_half
    return Model(
        response=response,
        design=design,
        names=names,
        gaps=series.gaps,
        noise=noise / np.median(noise),
        half_counts=half,
        main_response=main,
    )
