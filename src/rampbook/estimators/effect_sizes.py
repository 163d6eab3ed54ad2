"""The effect sizes that single-case reports ask for, from the practices before and after one change."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from rampbook.units import Better

Floats = NDArray[np.float64]


def effect_sizes(before: Floats, after: Floats, *, better: Better) -> dict[str, float | None]:
    """Give every effect size of one change, without a model of learning or of autocorrelation.

    Parameters
    ----------
    before, after : (n_before,), (n_after,) float
        One value a practice on the natural scale, in order: seconds, rates, ratings, shares.
    better : str
        ``lower`` or ``higher``: which direction is an improvement.

    Returns
    -------
    dict of str to float or None
        ``nap``, ``tau`` and ``tau_trend_corrected`` count an improvement as up (nap above .5, tau above 0),
        whichever direction is better. ``log_response_ratio`` and the standardised differences are after
        against before, as they stand. None where a size is not defined: an empty side, a mean that is not
        above 0, or no spread. ``tau_s``, ``tau_trend_s`` and ``tau_pairs`` give S and its denominator,
        because papers divide by different ones.
    """
    before, after = np.asarray(before, dtype=np.float64), np.asarray(after, dtype=np.float64)
    return {
        **overlap(before, after, better=better),
        **log_response_ratio(before, after),
        **standardised_differences(before, after),
    }


def overlap(before: Floats, after: Floats, *, better: Better) -> dict[str, float | None]:
    """Compare every practice after with every practice before; ties count half.

    References
    ----------
    Parker and Vannest 2009 (nonoverlap of all pairs); Parker, Vannest, Davis and Sauber 2011 (correction for
    a trend before the change), both from memory.
    """
    pairs = len(before) * len(after)
    if pairs == 0 or not (np.isfinite(before).all() and np.isfinite(after).all()):
        names = ("nap", "tau", "tau_trend_corrected", "tau_s", "tau_trend_s", "tau_pairs")
        return dict.fromkeys(names, None)
    way = 1.0 if better == "higher" else -1.0
    s = way * float(np.sum(np.sign(after[:, None] - before[None, :])))
    steps = np.sign(before[None, :] - before[:, None])
    trend_s = way * float(np.sum(np.triu(steps, k=1)))
    return {
        "nap": 0.5 + s / (2 * pairs),
        "tau": s / pairs,
        "tau_trend_corrected": (s - trend_s) / pairs,
        "tau_s": s,
        "tau_trend_s": trend_s,
        "tau_pairs": float(pairs),
    }


def log_response_ratio(before: Floats, after: Floats) -> dict[str, float | None]:
    """Give the logarithm of mean after over mean before, its standard error, and the bias-corrected value.

    Notes
    -----
    Standard error by the delta method: sqrt(s_a^2 / (n_a m_a^2) + s_b^2 / (n_b m_b^2)); it takes practices as
    unrelated. The correction adds half the difference of the two terms.

    References
    ----------
    Hedges, Gurevitch and Curtis 1999, Ecology 80; Lajeunesse 2015, Ecology 96 (formulae from memory).
    """
    names = ("log_response_ratio", "log_response_ratio_se", "log_response_ratio_corrected")
    if not (len(before) and len(after)):
        return dict.fromkeys(names, None)
    mean_before, mean_after = float(np.mean(before)), float(np.mean(after))
    if not (mean_before > 0 and mean_after > 0):
        return dict.fromkeys(names, None)
    ratio = math.log(mean_after / mean_before)
    if min(len(before), len(after)) < 2:
        return {names[0]: ratio, names[1]: None, names[2]: None}
    noise_before = float(np.var(before, ddof=1)) / (len(before) * mean_before**2)
    noise_after = float(np.var(after, ddof=1)) / (len(after) * mean_after**2)
    corrected = ratio + (noise_after - noise_before) / 2
    return {names[0]: ratio, names[1]: math.sqrt(noise_after + noise_before), names[2]: corrected}


def standardised_differences(before: Floats, after: Floats) -> dict[str, float | None]:
    """Give mean after minus mean before, in pooled (Hedges) and in baseline (Glass) standard deviations.

    Notes
    -----
    Both carry the exact small-sample factor J. The variance of the pooled one is 1/n_b + 1/n_a +
    g^2 / (2 (n_b + n_a)), of Glass's 1/n_b + 1/n_a + d^2 / (2 n_b).

    References
    ----------
    Hedges 1981, Journal of Educational Statistics 6:107-128; Glass 1976 (from memory).
    """
    n_before, n_after = len(before), len(after)
    if min(n_before, n_after) < 2:
        return _standardised(None, None, "standardised") | _standardised(None, None, "glass")
    difference = float(np.mean(after) - np.mean(before))
    own = float(np.var(before, ddof=1))
    degrees = n_before + n_after - 2
    pooled = (own * (n_before - 1) + float(np.var(after, ddof=1)) * (n_after - 1)) / degrees
    by_size = 1 / n_before + 1 / n_after
    g = small_sample_factor(degrees) * difference / math.sqrt(pooled) if pooled > 0 else None
    d = small_sample_factor(n_before - 1) * difference / math.sqrt(own) if own > 0 and n_before > 2 else None
    g_variance = None if g is None else by_size + g**2 / (2 * (n_before + n_after))
    d_variance = None if d is None else by_size + d**2 / (2 * n_before)
    return _standardised(g, g_variance, "standardised") | _standardised(d, d_variance, "glass")


def _standardised(size: float | None, variance: float | None, name: str) -> dict[str, float | None]:
    return {f"{name}_difference": size, f"{name}_difference_variance": variance}


def small_sample_factor(degrees: float) -> float:
    """Give Hedges' exact J: gamma(m/2) / (sqrt(m/2) gamma((m-1)/2)), which shrinks a standardised difference.

    At one degree of freedom it is 0: a difference cannot be scaled by two values.
    """
    if degrees <= 1:
        return 0.0
    half = degrees / 2
    return math.exp(math.lgamma(half) - math.lgamma(half - 0.5)) / math.sqrt(half)
