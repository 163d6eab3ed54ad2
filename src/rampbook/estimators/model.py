"""From the practices of a series to what the kernel takes: response, design and noise of each practice."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rampbook.errors import DesignError
from rampbook.estimators.working import Working, working
from rampbook.series.practices import Floats, PracticeSeries, Summaries

LEVEL, EFFECT_NAME, TREND = "level", "effect", "trend"


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """What is fitted.

    Attributes
    ----------
    response : (n,) float
        Link-scale response; a difference of the two series where there is an untouched one.
    design : (n, p) float
        Level, trend (if any), covariates, effect; trend and covariates are centred, so the level is the old
        setting in the middle of the series. The effect stands last, as the kernel wants it.
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
    """Build the design: level, trend by practice, declared covariates, effect.

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
    for j, name in enumerate(series.covariate_names):
        columns.append(_centred(series.covariates[:, j]))
        names.append(name)
    columns.append(series.phase.astype(float))
    names.append(EFFECT_NAME)
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


def build_model(series: PracticeSeries, *, trend: bool) -> Model:
    """Give response, design and noise of a series; with an untouched series, of the difference of the two.

    The difference takes away what the two share on a day (surface, battery, mood) whatever its size, also a
    step that falls on the change itself.
    """
    design, names = design_columns(series, trend=trend)
    main = _working(series, series.main, design)
    response, noise, half = main.response[0], main.noise[0], bool(main.half_counts[0])
    if series.control is not None:
        other = _working(series, series.control, design)
        response, noise = response - other.response[0], noise + other.noise[0]
        half = half or bool(other.half_counts[0])
    return Model(
        response=response,
        design=design,
        names=names,
        gaps=series.gaps,
        noise=noise / np.median(noise),
        half_counts=half,
        main_response=main.response[0],
    )


def _working(series: PracticeSeries, summaries: Summaries, design: Floats) -> Working:
    return working(series.kind.name, summaries.value[None], summaries.size[None], design[None])
