"""What a practitioner would have done instead, on the same series.

Linear fits take the mean log seconds, log((count + ½) / exposure), the rating, or the empirical logit, with level,
trend and effect. With an untouched series they take the difference of the two. Poisson, negative binomial and
binomial regressions then stack both series, with a level of each, one trend, the phase, and the phase in the
changed series alone, which is the effect (difference in differences). The t-tests have no trend: on the mean of a
practice (mean log seconds, rate, rating, share), or for times on every attempt; with an untouched series on the
differences.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from analyses.calibration.judge import Answers
from analyses.calibration.linear import (
    EFFECT,
    glsar,
    newey_west,
    ols,
    straight_design,
    t_test,
    t_test_of_groups,
)
from analyses.calibration.plug_in import fit_plug_in
from analyses.calibration.regressions import binomial, negative_binomial, poisson
from analyses.calibration.simulate import Simulated

Floats = NDArray[np.float64]

METHODS = (
    "t_attempts", "t_means", "ols", "newey_west", "glsar", "plug_in_reml", "poisson", "negative_binomial", "binomial",
)  # fmt: skip
STACKED_EFFECT = 4
MOST_SERIES = 1000
MOST_NEGATIVE_BINOMIAL = 500


def link_response(kind: str, value: Floats, size: Floats) -> Floats:
    """Give what the linear fits take, (S, n)."""
    if kind == "count":
        return np.log((value + 0.5) / size)
    if kind == "success":
        return np.log((value + 0.5) / (size - value + 0.5))
    return value


def plain_mean(kind: str, value: Floats, size: Floats) -> Floats:
    """Give what the t-test takes: rate, share, or the mean itself; (S, n)."""
    return value / size if kind in ("count", "success") else value


def difference(simulated: Simulated, scale: Callable[[str, Floats, Floats], Floats]) -> Floats:
    """Give the series on a scale, less the untouched series where there is one; (S, n)."""
    kind = simulated.cell.kind
    own = scale(kind, simulated.value, simulated.size)
    if simulated.control_value is None or simulated.control_size is None:
        return own
    return own - scale(kind, simulated.control_value, simulated.control_size)


def stacked(simulated: Simulated) -> tuple[Floats, Floats, Floats, int]:
    """Give value, size, design and the column of the effect for the regressions."""
    design = straight_design(simulated.phase)
    if simulated.control_value is None or simulated.control_size is None:
        return simulated.value, simulated.size, design, EFFECT
    own = np.zeros((*design.shape[:2], 2))
    own[..., 0], own[..., 1] = 1.0, simulated.phase
    both = np.concatenate([design, design], axis=1)
    apart = np.concatenate([own, np.zeros_like(own)], axis=1)
    value = np.concatenate([simulated.value, simulated.control_value], axis=1)
    size = np.concatenate([simulated.size, simulated.control_size], axis=1)
    return value, size, np.concatenate([both, apart], axis=2), STACKED_EFFECT


def usual_p_values(simulated: Simulated) -> dict[str, Floats]:
    """Give the p of every method that applies to the kind, each (S,); NaN where the method has no answer."""
    response, design = difference(simulated, link_response), straight_design(simulated.phase)
    found = {
        "t_means": t_test(difference(simulated, plain_mean), simulated.phase),
        "ols": ols(response, design),
        "newey_west": newey_west(response, design),
        "glsar": glsar(response, design),
        "plug_in_reml": fit_plug_in(response, design).p(),
    }
    if simulated.within is not None and not simulated.cell.compared:
        found["t_attempts"] = t_test_of_groups(simulated.value, simulated.within, simulated.size, simulated.phase)
    return found | _regressions(simulated)


def plug_in_answers(simulated: Simulated, confidence: float) -> Answers:
    """Answer as somebody would who believes the autocorrelation that plug-in REML found."""
    fit = fit_plug_in(difference(simulated, link_response), straight_design(simulated.phase))
    reach = -stdtrit(fit.degrees, (1 - confidence) / 2) * fit.error
    return Answers(
        effect=fit.effect,
        low=fit.effect - reach,
        high=fit.effect + reach,
        called=fit.p() < 1 - confidence,
        refused=np.isnan(fit.error),
    )


def _regressions(simulated: Simulated) -> dict[str, Floats]:
    kind = simulated.cell.kind
    if kind == "success":
        hits, tries, design, effect = stacked(simulated)
        return {"binomial": binomial(hits, tries, design, effect)}
    if kind == "count":
        count, exposure, design, effect = stacked(simulated)
        offset = np.log(exposure)
        some = slice(MOST_NEGATIVE_BINOMIAL)
        return {
            "poisson": poisson(count, design, offset, effect),
            "negative_binomial": negative_binomial(count[some], design[some], offset[some], effect),
        }
    return {}


def usual_false_positives(simulated: Simulated, alpha: float) -> dict[str, float]:
    """Give the share of do-nothing series that each method calls an effect.

    On the first 1,000 series (negative binomial: 500), which keeps the Monte Carlo error below 0.7 (1) points.
    """
    found = usual_p_values(simulated.first(MOST_SERIES))
    return {name: float(np.mean(p < alpha)) for name, p in found.items()}
