"""The five numbers of the stretch, found by simulation. Rampbook 0.1.0, 2026-11-25.

Data: made-up series of a change that did nothing, drawn with the seed below: 17 orders of settings of 8 to 40
practices, three kinds of gaps between them, five autocorrelations and four kinds of noise, so 1,020 spots. Every
series is fitted by the product's own kernel. From each fit follows the stretch at which its 95% interval would just
hold no effect; a series is called an effect where the rule stretches less than that. The numbers are those for which
the share of called series lies nearest to the wanted band over all spots at once; none is set by hand for a spot.

    python -m analyses.stretch [--seed 20261125] [--series 1200]

run in the top folder, takes about two minutes on two quiet cores and prints the numbers, and the shares in every
design before and after, on a second bank drawn with the next seed. The printed text is kept in stretch.md.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import product
from multiprocessing import get_context

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads only wait for each other

import numpy as np
from numpy.typing import NDArray

from analyses.calibration.designs import practice_gaps
from rampbook.estimators import stretch as rule
from rampbook.estimators.batch import batch_design
from rampbook.estimators.grid import Grid, grid_for
from rampbook.estimators.kernel import EffectFit, fit_effect, step_correlation
from rampbook.estimators.mixture import centre, quantile

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

SEED = 20261125
SERIES = 1200
ALPHA = 0.05
CORRELATIONS = (0.0, 0.3, 0.6, -0.2, 0.75)
WITHIN_REACH = (0.0, 0.3, 0.6)
"""Autocorrelations for which the bars are meant; the others count little, so that nothing breaks beside them."""
GAPS = ("even", "break", "scattered")
NOISES = ("attempts", "none", "strong", "counts")
TOO_SHORT = "once 4+4"

PRACTICE_SD, ATTEMPT_SD, MOST_ATTEMPTS = 0.06, 0.08, 8
LOG_RATIOS = (-1.2, 0.0, 1.2)
LEAST_PERCENT, MOST_PERCENT, MOST_PERCENT_BEYOND = 2.6, 5.7, 7.5
LEAST_BAR, MOST_BAR = 2.0, 6.5
LISTED = 8
SOFTNESS, RIDGE = 0.03, 3e-3
WEIGHT_BEYOND, WEIGHT_WITHOUT_NOISE, WEIGHT_TOO_WIDE = 0.1, 0.6, 1.3


def _blocks(*lengths: int) -> Callable[[np.random.Generator], Floats]:
    """Old and new setting in turn, in phases of these lengths."""
    phase = np.repeat(np.arange(len(lengths)) % 2, lengths).astype(np.float64)
    return lambda rng: phase


def _pairs(count: int) -> Callable[[np.random.Generator], Floats]:
    """Pairs of practices, each with both settings in an order drawn by lot."""
    return lambda rng: np.concatenate([rng.permutation([0.0, 1.0]) for _ in range(count)])


def _drawn(n: int) -> Callable[[np.random.Generator], Floats]:
    """One change, its start drawn by lot, at least five practices on either side."""
    return lambda rng: (np.arange(n) >= rng.integers(5, n - 4)).astype(np.float64)


DESIGNS: dict[str, Callable[[np.random.Generator], Floats]] = {
    TOO_SHORT: _blocks(4, 4),
    "once 5+5": _blocks(5, 5),
    "once 8+8": _blocks(8, 8),
    "once 6+12": _blocks(6, 12),
    "once 15+15": _blocks(15, 15),
    "once 20+20": _blocks(20, 20),
    "there and back 18": _blocks(6, 6, 6),
    "twice there and back 16": _blocks(4, 4, 4, 4),
    "twice there and back 24": _blocks(6, 6, 6, 6),
    "twice there and back 30": _blocks(8, 7, 8, 7),
    "six phases 30": _blocks(5, 5, 5, 5, 5, 5),
    "alternating 10": _blocks(*[1] * 10),
    "alternating 16": _blocks(*[1] * 16),
    "alternating 30": _blocks(*[1] * 30),
    "pairs by lot 20": _pairs(10),
    "start by lot 20": _drawn(20),
    "start by lot 30": _drawn(30),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One kind of series: order of settings, gaps, autocorrelation over a typical gap, noise."""

    design: str
    gaps: str
    rho: float
    noise: str

    @property
    def within_reach(self) -> bool:
        """Whether the bars are meant for it."""
        return self.rho in WITHIN_REACH and self.design != TOO_SHORT

    @property
    def name(self) -> str:
        """One line that tells the spot from every other."""
        return f"{self.design}, gaps {self.gaps}, autocorrelation {self.rho:g}, noise {self.noise}"


def all_spots() -> tuple[Spot, ...]:
    """Give all spots, always in the same order."""
    return tuple(
        Spot(design=design, gaps=gaps, rho=rho, noise=noise)
        for design, gaps, rho, noise in product(DESIGNS, GAPS, CORRELATIONS, NOISES)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """S series of n practices: response, phase, gaps, and the relative noise variance, (S, n) each."""

    response: Floats
    phase: Floats
    gaps: Floats
    noise: Floats


def draw(spot: Spot, n_series: int, rng: np.random.Generator) -> Drawn:
    """Draw series of a change that did nothing; level and learning are left out, since the fit takes both away."""
    phase = np.stack([DESIGNS[spot.design](rng) for _ in range(n_series)])
    gaps = _gaps(spot.gaps, n_series, phase.shape[1], rng)
    variance, noise = _noise(spot.noise, phase, rng)
    response = PRACTICE_SD * _practice_effects(spot.rho, gaps, rng) + np.sqrt(variance) * rng.normal(size=phase.shape)
    return Drawn(response=response, phase=phase, gaps=gaps, noise=noise / np.median(noise, axis=1, keepdims=True))


def _gaps(kind: str, n_series: int, n: int, rng: np.random.Generator) -> Floats:
    if kind != "scattered":
        return practice_gaps(n_series, n, irregular=kind == "break", rng=rng)
    days = rng.integers(2, 10, size=(n_series, n)) * np.where(rng.random((n_series, n)) < 1 / 7, 4.0, 1.0)
    gaps = days / np.median(days[:, 1:], axis=1, keepdims=True)
    gaps[:, 0] = 1.0
    return np.asarray(gaps)


def _practice_effects(rho: float, gaps: Floats, rng: np.random.Generator) -> Floats:
    """Effects of variance 1, correlated as the kernel has it, which knows a negative autocorrelation too."""
    step = step_correlation(Grid(rho=np.array([rho]), h=np.zeros(1)), gaps)[:, 0]
    effects = rng.normal(size=gaps.shape)
    for t in range(1, gaps.shape[1]):
        effects[:, t] = step[:, t] * effects[:, t - 1] + np.sqrt(1.0 - step[:, t] ** 2) * effects[:, t]
    return effects


def _noise(kind: str, phase: Floats, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Variance of the noise of every practice, and what the fit takes it to be relative to one another."""
    if kind == "none":
        return np.zeros(phase.shape), np.ones(phase.shape)
    if kind == "counts":
        ratio = rng.choice(LOG_RATIOS, size=(phase.shape[0], 1))
        noise = 1.0 / (rng.uniform(0.7, 1.3, size=phase.shape) * np.exp(ratio * phase))
        return PRACTICE_SD**2 * noise, noise
    noise = 1.0 / rng.integers(1, MOST_ATTEMPTS + 1, size=phase.shape)
    return (4.0 if kind == "strong" else 1.0) * ATTEMPT_SD**2 * noise, noise


@dataclass(frozen=True, slots=True, kw_only=True)
class Bank:
    """C spots of S series.

    Attributes
    ----------
    spots : tuple of Spot
    needed : (C, S) float
        Logarithm of the stretch at which the interval would just hold no effect.
    features : (C, S, 5) float
        What the five numbers multiply.
    """

    spots: tuple[Spot, ...]
    needed: Floats
    features: Floats


def needed_log_stretch(fit: EffectFit) -> Floats:
    """Give the logarithm of the stretch at which each 95% interval would just hold no effect, (S,).

    Stretched by k about its centre m, a mixture has its ends at m + k (end - m).
    """
    middle = centre(fit.beta, fit.weight)
    side = np.where(middle < 0, -1.0, 1.0)
    end = quantile(np.full(middle.size, ALPHA / 2), side[:, None] * fit.beta, fit.se, fit.weight, fit.df)
    return np.asarray(np.log(np.maximum(np.abs(middle) / (np.abs(middle) - end), 1e-9)))


def fit_spot(spot: Spot, n_series: int, seed: int) -> tuple[Floats, Floats]:
    """Give needed (S,) and features (S, 5) of one spot; the seed of a spot hangs on its place among all."""
    rng = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(all_spots().index(spot),)))
    drawn = draw(spot, n_series, rng)
    grid = grid_for("count" if spot.noise == "counts" else "time")
    fit = fit_effect(drawn.response, batch_design(drawn.phase, trend=True), drawn.gaps, drawn.noise, grid)
    return needed_log_stretch(fit), rule.features(fit, grid, drawn.phase.shape[1])


def make_bank(spots: Sequence[Spot], n_series: int, seed: int, *, workers: int = 2) -> Bank:
    """Draw and fit every spot."""
    task = partial(fit_spot, n_series=n_series, seed=seed)
    if workers == 1:
        found = [task(spot) for spot in spots]
    else:
        with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
            found = list(pool.map(task, spots, chunksize=8))
    needed, features = zip(*found, strict=True)
    return Bank(spots=tuple(spots), needed=np.stack(needed), features=np.stack(features))


def log_stretch(bank: Bank, numbers: Floats) -> Floats:
    """Give the logarithm of the stretch of every series, (C, S)."""
    return np.clip(bank.features @ numbers, rule.LEAST_LOG, rule.MOST_LOG)


def percent_called(bank: Bank, numbers: Floats) -> Floats:
    """Give the percentage of series called an effect in each spot, (C,)."""
    return np.asarray(100.0 * np.mean(bank.needed > log_stretch(bank, numbers), axis=1))


def _demands(bank: Bank) -> tuple[Floats, Flags, Floats]:
    """Weight, whether the lower edge of the band counts, and the upper edge; (C,) each."""
    core = np.array([spot.within_reach for spot in bank.spots])
    without = np.array([spot.noise == "none" for spot in bank.spots])
    weight = np.where(core, 1.0, WEIGHT_BEYOND) * np.where(without, WEIGHT_WITHOUT_NOISE, 1.0)
    return weight, core, np.where(core, MOST_PERCENT, MOST_PERCENT_BEYOND)


def loss(numbers: Floats, bank: Bank, unit: Floats) -> tuple[float, Floats]:
    """Give the squared distance from the band over all spots, and its slope in the numbers, (5,).

    Counting is softened by a logistic curve, so that the count has a slope. The numbers are held back a little
    (ridge), each in the unit (5,) in which its feature spreads by 1.
    """
    weight, core, most = _demands(bank)
    raw = bank.features @ numbers
    inside = (raw > rule.LEAST_LOG) & (raw < rule.MOST_LOG)
    distance = (bank.needed - np.clip(raw, rule.LEAST_LOG, rule.MOST_LOG)) / SOFTNESS
    soft = 1.0 / (1.0 + np.exp(-np.clip(distance, -40.0, 40.0)))
    percent = 100.0 * soft.mean(axis=1)
    below = np.where(core, np.maximum(0.0, LEAST_PERCENT - percent), 0.0)
    above = np.maximum(0.0, percent - most)
    total = np.sum(weight * (WEIGHT_TOO_WIDE * below**2 + above**2)) + RIDGE * np.sum((unit * numbers) ** 2)
    by_percent = weight * 2.0 * (above - WEIGHT_TOO_WIDE * below)
    by_stretch = -100.0 / soft.shape[1] * by_percent[:, None] * soft * (1.0 - soft) / SOFTNESS * inside
    slope = np.einsum("cs,csf->f", by_stretch, bank.features, optimize=True) + 2.0 * RIDGE * unit**2 * numbers
    return float(total), slope


def derive(bank: Bank) -> Floats:
    """Find the five numbers from a bank, starting from no stretch at all."""
    from scipy.optimize import minimize

    spread = bank.features.std(axis=(0, 1))
    unit = np.where(spread < 1e-9, 1.0, spread)

    def scaled(position: Floats) -> tuple[float, Floats]:
        total, slope = loss(position / unit, bank, unit)
        return total, slope / unit

    found = minimize(scaled, np.zeros(unit.size), jac=True, method="L-BFGS-B", options={"maxiter": 300})
    return np.asarray(found.x / unit, dtype=np.float64)


def present_numbers() -> Floats:
    """Give the numbers that the product uses."""
    return np.array([rule.CONSTANT, rule.LEANING, rule.LEANING_COST, rule.LEANING_FEW, rule.LEANING_COST_FEW])


def _hard_loss(bank: Bank, numbers: Floats) -> float:
    """The distance from the band with the true count, without ridge."""
    weight, core, most = _demands(bank)
    percent = percent_called(bank, numbers)
    below = np.where(core, np.maximum(0.0, LEAST_PERCENT - percent), 0.0)
    return float(np.sum(weight * (WEIGHT_TOO_WIDE * below**2 + np.maximum(0.0, percent - most) ** 2)))


def _compared(bank: Bank, sets: dict[str, Floats]) -> list[str]:
    """One line for each set of numbers: how far all spots together lie from where they should."""
    core = np.array([spot.within_reach for spot in bank.spots])
    lines = ["| stretch | distance from the band | spots outside 2% to 6.5% | least | most |", "|---|---|---|---|---|"]
    for name, numbers in sets.items():
        percent = percent_called(bank, numbers)[core]
        outside = int(np.sum((percent < LEAST_BAR) | (percent > MOST_BAR)))
        lines.append(
            f"| {name} | {_hard_loss(bank, numbers):.0f} | {outside} of {percent.size} | {percent.min():.1f}% "
            f"| {percent.max():.1f}% |"
        )
    return lines


def _by_design(bank: Bank, sets: dict[str, Floats]) -> list[str]:
    """One line a design: least and most of its spots under each set of numbers."""
    lines = ["| order of settings | " + " | ".join(sets) + " |", "|---|" + "---|" * len(sets)]
    shares = [percent_called(bank, numbers) for numbers in sets.values()]
    for design in DESIGNS:
        own = np.array([spot.design == design and spot.rho in WITHIN_REACH for spot in bank.spots])
        ranges = [f"{percent[own].min():.1f}% to {percent[own].max():.1f}%" for percent in shares]
        lines.append(f"| {design} | " + " | ".join(ranges) + " |")
    return lines


def _worst(bank: Bank, sets: dict[str, Floats]) -> list[str]:
    """The spots furthest above and below under the last set of numbers."""
    shares = [percent_called(bank, numbers) for numbers in sets.values()]
    core = np.flatnonzero([spot.within_reach for spot in bank.spots])
    order = core[np.argsort(-shares[-1][core])]
    lines = ["| spot | " + " | ".join(sets) + " |", "|---|" + "---|" * len(sets)]
    for place in (*order[:LISTED], *order[-LISTED:]):
        lines.append(f"| {bank.spots[place].name} | " + " | ".join(f"{p[place]:.1f}%" for p in shares) + " |")
    return lines


def _apart(bank: Bank, numbers: Floats, percent: float) -> float:
    """Percentile over series of how far the stretch lies from the product's, as a share of it."""
    ratio = log_stretch(bank, numbers) - log_stretch(bank, present_numbers())
    return float(np.expm1(np.percentile(np.abs(ratio), percent)))


def _numbers(found: Floats, check: Bank) -> list[str]:
    """The product's numbers and those found now, and how far apart they stretch."""
    listed = [", ".join(f"{number:.3f}" for number in numbers) for numbers in (present_numbers(), found)]
    middle, far = (_apart(check, found, percent) for percent in (50, 95))
    return [
        f"- the product's numbers: {listed[0]}",
        f"- the numbers found now: {listed[1]}",
        "",
        "The product's numbers were found on an earlier bank of 800 series a spot. The features go together, so sets",
        "of numbers that look far apart can stretch nearly alike: between these two the stretch of a series differs by",
        f"{middle:.1%} in the middle, and by more than {far:.1%} in one series of",
        "twenty. The numbers are changed only for a set that does clearly better on a bank it was not found on.",
    ]


def report(found: Floats, check: Bank, seed: int) -> str:
    """Say the numbers, and what each set does on a bank that none was found on."""
    sets = {"none": np.zeros(5), "the product's numbers": present_numbers(), "the numbers found now": found}
    series = check.needed.shape[1]
    lines = [
        "# The stretch: its five numbers",
        "",
        f"`python -m analyses.stretch --seed {seed} --series {series}`. What the numbers mean: stretch.py of the",
        "estimators. All shares are of changes that did nothing and are called an effect at 5%, on a second bank,",
        f"drawn with seed {seed + 1}: {len(check.spots)} spots of {series} series, so the error of a share near 5%",
        f"is {100 * np.sqrt(0.05 * 0.95 / series):.1f} points.",
        "",
        *_numbers(found, check),
    ]
    parts = {
        "All spots together\n\nAutocorrelation 0, 0.3 and 0.6, from five practices on either side.": _compared,
        "By order of settings\n\nLeast and most over gaps, noise and autocorrelation 0, 0.3 and 0.6.": _by_design,
        "The spots furthest up and down": _worst,
    }
    for title, tell in parts.items():
        lines += ["", f"## {title}", "", *tell(check, sets)]
    return "\n".join(lines)


def main(words: Sequence[str] | None = None) -> int:
    """Draw a bank, find the numbers, and print what they do on a second bank."""
    parser = argparse.ArgumentParser(description="Find the numbers of the stretch.")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--series", type=int, default=SERIES, help="series a spot")
    options = parser.parse_args(words)
    found = derive(make_bank(all_spots(), options.series, options.seed))
    print(report(found, make_bank(all_spots(), options.series, options.seed + 1), options.seed))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
