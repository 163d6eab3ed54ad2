"""How much practices differ anyway, and how far neighbours go together: weights over a few possibilities.

Plain Python, for the same reason as the exact tests. Each possibility is weighed by its prior and by the restricted
likelihood (Harville 1974, Biometrika 61:383-385) of the practices, each side of the change with its own level, so
that a rise after the change is not taken for noise. Correlation is hard to see in ten practices, and overlooking it
raises false alarms, so the prior for counts leans to it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """``dispersion``: variance of the rate of a practice over its square; ``rho``: correlation of neighbours."""

    dispersion: float
    rho: float


CORRELATIONS = (0.0, 0.3, 0.6)
_LEAN = (0.4, 0.8, 1.8)
COUNT_SPREADS = (
    Spread(dispersion=0.0, rho=0.0),
    *(Spread(dispersion=d, rho=rho) for d in (0.1, 0.3, 0.6) for rho in CORRELATIONS),
)
COUNT_PRIOR = (3.0, *_LEAN, *_LEAN, *_LEAN)
RATING_SPREADS = tuple(Spread(dispersion=1.0, rho=rho) for rho in CORRELATIONS)
_NO_NOISE = 1e-6  # of the variance of ratings; keeps the filter from dividing by nothing


def count_weights(counts: Sequence[int], means: Sequence[float], n_before: int) -> list[float]:
    """Weigh `COUNT_SPREADS` by a series of counts whose Poisson means at one common rate are ``means``."""
    ratio = [count / mean for count, mean in zip(counts, means, strict=True)]
    noise = [1 / mean for mean in means]
    logs = []
    for spread in COUNT_SPREADS:
        fit = _filtered(ratio, noise, n_before, spread)
        logs.append(-(fit.log_size + fit.residual) / 2)
    return _normed(logs, COUNT_PRIOR)


def rating_weights(values: Sequence[float], n_before: int) -> list[float]:
    """Weigh `RATING_SPREADS` by a series of ratings; their variance is integrated out, flat on its log."""
    noise = [_NO_NOISE] * len(values)
    logs = []
    for spread in RATING_SPREADS:
        fit = _filtered(values, noise, n_before, spread)
        logs.append(-(fit.log_size + (len(values) - 2) * math.log(max(fit.residual, _NO_NOISE))) / 2)
    return _normed(logs, (1.0,) * len(logs))


def count_widening(means: Sequence[float], exposures: Sequence[float], n_before: int) -> list[float]:
    """Give for each of `COUNT_SPREADS` the variance of the difference of the two rates over its Poisson variance."""
    whole, before = sum(exposures), sum(exposures[:n_before])
    parts = [mean * (before / whole - (i < n_before)) for i, mean in enumerate(means)]
    poisson = math.fsum(part * part / mean for part, mean in zip(parts, means, strict=True))
    shared = {rho: _together(parts, rho) / poisson for rho in CORRELATIONS}
    return [1 + spread.dispersion * shared[spread.rho] for spread in COUNT_SPREADS]


def rating_widening(n_before: int, n_after: int) -> list[float]:
    """Give for each of `RATING_SPREADS` the variance of the difference of two means over what shuffling shows."""
    n = n_before + n_after
    parts = [-1 / n_before] * n_before + [1 / n_after] * n_after
    shuffled = 1 / n_before + 1 / n_after
    out = []
    for rho in CORRELATIONS:
        alike = (_together([1.0] * n, rho) - n) / (n * (n - 1))
        out.append(_together(parts, rho) / (shuffled * (1 - alike)))
    return out


def _together(parts: Sequence[float], rho: float) -> float:
    """Sum of parts[i] parts[j] rho^|i - j|."""
    out = carried = 0.0
    for part in parts:
        out += part * (part + 2 * carried)
        carried = rho * (carried + part)
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class _Filtered:
    """Log determinants (of the covariance and of the two levels' information), and the weighted residual square."""

    log_size: float
    residual: float


def _filtered(values: Sequence[float], noise: Sequence[float], n_before: int, spread: Spread) -> _Filtered:
    """Fit a level on each side by generalised least squares, whitened by a one-state filter (Harvey 1989, ch. 3)."""
    dispersion, rho = spread.dispersion, spread.rho
    state, log_size = dispersion, 0.0
    of_value = of_old = of_new = 0.0  # what the past foretells of each column
    yy = oo = on = nn = oy = ny = 0.0
    for i, value in enumerate(values):
        size = state + noise[i]
        log_size += math.log(size)
        gain = state / size
        y = value - of_value
        old, new = (1 - of_old, -of_new) if i < n_before else (-of_old, 1 - of_new)
        yy, oy, ny = yy + y * y / size, oy + old * y / size, ny + new * y / size
        oo, on, nn = oo + old * old / size, on + old * new / size, nn + new * new / size
        of_value = rho * (of_value + gain * y)
        of_old, of_new = rho * (of_old + gain * old), rho * (of_new + gain * new)
        state = rho * rho * (1 - gain) * state + dispersion * (1 - rho * rho)
    information = oo * nn - on * on
    explained = (nn * oy * oy - 2 * on * oy * ny + oo * ny * ny) / information
    return _Filtered(log_size=log_size + math.log(information), residual=yy - explained)


def _normed(logs: Sequence[float], prior: Sequence[float]) -> list[float]:
    top = max(logs)
    raw = [math.exp(value - top) * before for value, before in zip(logs, prior, strict=True)]
    return [value / sum(raw) for value in raw]
