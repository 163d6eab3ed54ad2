"""The numbers of many series: who can be estimated, and the estimates, series of one length together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rampbook.estimators.batch import LEAST_DF, Batch, estimate_batch
from rampbook.estimators.many import benjamini_hochberg
from rampbook.evidence.rungs import LEAST_SIDE
from rampbook.series.league import League
from rampbook.series.practices import Floats, Ints

if TYPE_CHECKING:
    import polars as pl

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeagueEstimate:
    """Estimates on the link scale of S series, (S,) each; NaN where there is none, with the reason.

    Attributes
    ----------
    effect, low, high, p : float
    practices, before, after : int
        As used.
    compared : bool
        Whether an untouched series was subtracted.
    reason : str, empty where estimated
    """

    effect: Floats
    low: Floats
    high: Floats
    p: Floats
    practices: Ints
    before: Ints
    after: Ints
    compared: Flags
    reason: tuple[str, ...]


def estimate_league(whole: League, *, confidence: float, trend: bool) -> LeagueEstimate:
    """Estimate every series, with its untouched series where that can carry a comparison."""
    compared = _can_compare(whole)
    numbers = {name: np.full(whole.size, np.nan) for name in ("effect", "low", "high", "p")}
    for control in (True, False):
        here = compared if control else ~compared
        part = _of(whole, here, control=control)
        enough = here & (np.minimum(part.count(part.phase == 0), part.count(part.phase == 1)) >= LEAST_SIDE)
        for n in np.unique(part.count()[enough]):
            chosen = np.flatnonzero(enough & (part.count() == n))
            found = estimate_batch(_batch(part, chosen, int(n)), confidence=confidence, trend=trend)
            for name, column in numbers.items():
                column[chosen] = getattr(found, name)
    before, after = (_used(whole, compared, phase) for phase in (0, 1))
    reason = _reasons(numbers["effect"], before, after, 2 + trend + len(whole.covariate_names))
    return LeagueEstimate(
        **numbers, practices=before + after, before=before, after=after, compared=compared, reason=reason
    )


def league_table(whole: League, *, confidence: float, trend: bool) -> pl.DataFrame:
    """Give the table of `estimate_many`: names, estimates on their own scale, p adjusted for their number."""
    import polars as pl

    found = estimate_league(whole, confidence=confidence, trend=trend)
    ratio = whole.kind.scale == "ratio"
    shown = [np.exp(np.minimum(x, 700.0)) if ratio else x for x in (found.effect, found.low, found.high)]
    numbers = dict(zip(("estimate", "low", "high"), shown, strict=True))
    numbers |= {"p": found.p, "p_adjusted": _adjusted(found.p)}
    return whole.keys.with_columns(
        *(pl.Series(name, values).fill_nan(None) for name, values in numbers.items()),
        *(pl.Series(name, getattr(found, name)) for name in ("practices", "before", "after")),
        pl.Series("attempts", whole.attempts),
        pl.Series("compared", found.compared),
        pl.Series("reason", [reason or None for reason in found.reason], dtype=pl.String),
    )


def _adjusted(p: Floats) -> Floats:
    """P values adjusted over the series that have one (`many.benjamini_hochberg`)."""
    known = np.isfinite(p)
    out = np.full(p.size, np.nan)
    out[known] = benjamini_hochberg(p[known].tolist())
    return out


def _can_compare(whole: League) -> Flags:
    """Whether at least three practices on either side have the untouched series too."""
    if whole.control is None:
        return np.zeros(whole.size, dtype=bool)
    both = np.isfinite(whole.control.value)
    sides = [whole.count(both & (whole.phase == phase)) for phase in (0, 1)]
    return np.asarray(np.minimum(*sides) >= LEAST_SIDE)


def _of(whole: League, series: Flags, *, control: bool) -> League:
    """Give the practices of some series; with the untouched series, only those that have it."""
    keep = series[whole.series]
    if control and whole.control is not None:
        keep = keep & np.isfinite(whole.control.value)
    return whole.take(keep, control=control)


def _used(whole: League, compared: Flags, phase: int) -> Ints:
    counts = whole.count(whole.phase == phase)
    if whole.control is None:
        return counts
    both = whole.count((whole.phase == phase) & np.isfinite(whole.control.value))
    return np.where(compared, both, counts)


def _batch(part: League, chosen: Ints, n: int) -> Batch:
    """Lay the practices of the chosen series, n each, side by side."""
    starts = np.concatenate([[0], np.cumsum(part.count())])[chosen]
    cells = starts[:, None] + np.arange(n)
    steps = np.diff(part.elapsed[cells], axis=1)
    gaps = np.concatenate([np.ones((chosen.size, 1)), steps / np.median(steps, axis=1, keepdims=True)], axis=1)
    control = part.control
    return Batch(
        kind_name=part.kind.name,
        value=part.main.value[cells],
        size=part.main.size[cells],
        phase=part.phase[cells].astype(float),
        gaps=gaps,
        control_value=None if control is None else control.value[cells],
        control_size=None if control is None else control.size[cells],
        covariates=part.covariates[cells] if part.covariate_names else None,
    )


def _reasons(effect: Floats, before: Ints, after: Ints, coefficients: int) -> tuple[str, ...]:
    """Say of each series why there is no estimate."""
    out = np.full(effect.size, "", dtype=object)
    none = np.isnan(effect)
    few = none & (np.minimum(before, after) < LEAST_SIDE)
    short = none & ~few & (before + after - coefficients < LEAST_DF)
    out[none] = "nothing varies beside the design, or its columns cannot be told apart"
    out[short] = f"too few practices for {coefficients} coefficients: at least {coefficients + LEAST_DF} are needed"
    out[few] = f"fewer than {LEAST_SIDE} practices on a side"
    return tuple(out)
