"""Findings of invented series for the tests of the pictures: least squares on the link scale, seeded."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from rampbook.evidence.finding import ChangeMark, Drawing, EventMark, Finding, PracticePoint, Warned
from rampbook.evidence.sentences import amount, span
from rampbook.evidence.verdicts import verdict
from rampbook.units import KINDS

AXES = {
    "time": "seconds to finish the gate drill",
    "count": "collisions per hour",
    "rating": "comfort, 0 to 10 points",
    "success": "share of tries that succeeded",
}
LINKS: dict[str, Callable[[float], float]] = {
    "time": math.log,
    "count": lambda v: math.log(max(v, 0.25)),
    "rating": lambda v: v,
    "success": lambda v: math.log((v + 0.05) / (1.05 - v)),
}
BACK: dict[str, Callable[[float], float]] = {
    "time": math.exp,
    "count": math.exp,
    "rating": lambda v: v,
    "success": lambda v: 1 / (1 + math.exp(-v)),
}
START = {"time": math.log(13.0), "count": math.log(9.0), "rating": 5.5, "success": 0.2}
NOISE = {"time": 0.05, "count": 0.35, "rating": 0.8, "success": 0.5}
NOT_SHOWN = (
    "That the change caused it.",
    "What a date drawn by lot would show: nobody drew the date.",
    "What an untouched profile did in the same practices: none was measured.",
)


def make_finding(
    kind: str = "time",
    *,
    phases: Sequence[int] = (0,) * 11 + (1,) * 11,
    effect: float = -0.08,
    trend: float = -0.006,
    noise: float = 1.0,
    attempts: int = 5,
    days: Sequence[int] | None = None,
    events: Sequence[tuple[float, str]] = (),
    unfinished: Sequence[int] = (),
    control: bool = False,
    has_dates: bool = True,
    old: str = "80",
    new: str = "65",
    seed: int = 7,
    drawing: dict[str, Any] | None = None,
    **fields: Any,
) -> Finding:
    """Invent a series and fit level, trend and effect on the link scale; ``fields`` replace parts."""
    rng = np.random.default_rng(seed)
    n = len(phases)
    spread = NOISE[kind] * noise
    link = [START[kind] + trend * i + effect * p + rng.normal(0, spread) for i, p in enumerate(phases)]
    raw = [[_observed(kind, v, spread, rng) for _ in range(attempts)] for v in link]
    values = [BACK[kind](float(np.mean([LINKS[kind](a) for a in one]))) for one in raw]
    steps = list(days) if days is not None else [4 * i for i in range(n)]
    dates = [date(2026, 1, 12) + timedelta(days=s) if has_dates else None for s in steps]
    fit = _fit([LINKS[kind](v) for v in values], phases)
    points = tuple(
        PracticePoint(
            position=i,
            label=str(i + 1),
            on=dates[i],
            phase=phases[i],
            value=values[i],
            size=float(attempts),
            attempts=tuple(raw[i]) if kind in ("time", "rating") else (),
            unfinished=tuple(i in unfinished and j == 0 for j in range(attempts)) if kind in ("time", "rating") else (),
            fitted=None,
            without=None,
            without_low=None,
            without_high=None,
            control=BACK[kind](START[kind] + trend * i + rng.normal(0, spread)) if control else None,
        )
        for i in range(n)
    )
    if fit is not None:
        points = tuple(_modelled(kind, point, fit) for point in points)
    changes = [i for i in range(1, n) if phases[i] != phases[i - 1]]
    labels = (old, new)
    base = Drawing(
        title="Gate drill, profile 2, athlete K03",
        outcome_label="gate drill",
        axis=AXES[kind],
        old_label=old,
        new_label=new,
        points=points,
        changes=tuple(
            ChangeMark(position=i, on=dates[i], text=f"acceleration {labels[phases[i - 1]]} → {labels[phases[i]]}")
            for i in changes
        ),
        events=tuple(EventMark(position=at, on=None, text=said) for at, said in events),
        control_label="profile 1, same drill" if control else None,
    )
    return replace(_finding(kind, phases, attempts, fit, replace(base, **(drawing or {}))), **fields)


def _observed(kind: str, link: float, spread: float, rng: np.random.Generator) -> float:
    if kind == "time":
        return math.exp(link + rng.normal(0, 0.08))
    if kind == "count":
        return float(rng.poisson(math.exp(link) * 0.5)) / 0.5
    if kind == "rating":
        return float(np.clip(round(link + rng.normal(0, spread / 2)), 0, 10))
    return float(rng.binomial(10, BACK[kind](link))) / 10


def _fit(link: list[float], phases: Sequence[int]) -> tuple[Any, Any, float] | None:
    before, after = phases.count(0), phases.count(1)
    if min(before, after) < 3:
        return None
    design = np.column_stack([np.ones(len(phases)), np.arange(len(phases)), np.asarray(phases, float)])
    beta, *_ = np.linalg.lstsq(design, np.asarray(link), rcond=None)
    residual = np.asarray(link) - design @ beta
    variance = float(residual @ residual) / (len(phases) - 3)
    return beta, variance * np.linalg.inv(design.T @ design), variance


def _modelled(kind: str, point: PracticePoint, fit: tuple[Any, Any, float]) -> PracticePoint:
    beta, cov, _ = fit
    row = np.array([1.0, point.position, 0.0])
    mean, error = float(row @ beta), 2.1 * math.sqrt(float(row @ cov @ row))
    back = BACK[kind]
    return replace(
        point,
        fitted=back(mean + point.phase * float(beta[2])),
        without=back(mean),
        without_low=back(mean - error),
        without_high=back(mean + error),
    )


def _finding(
    kind: str, phases: Sequence[int], attempts: int, fit: tuple[Any, Any, float] | None, drawing: Drawing
) -> Finding:
    ends: tuple[float | None, ...] = (None, None, None)
    said, judged = ("", ""), "cannot tell yet"
    if fit is not None:
        middle, error = float(fit[0][2]), 2.1 * math.sqrt(float(fit[1][2, 2]))
        unlink = (lambda v: v) if kind == "rating" else math.exp
        ends = (unlink(middle), unlink(middle - error), unlink(middle + error))
        worth = {"rating": 0.5, "success": math.log(1.5), "count": -math.log(0.8), "time": -math.log(0.97)}[kind]
        judged = verdict(middle, middle - error, middle + error, worth, KINDS[kind].better)
        said = (amount(KINDS[kind], middle), span(KINDS[kind], middle - error, middle + error))
    return Finding(
        kind=KINDS[kind],
        better=KINDS[kind].better,
        estimate=ends[0],
        low=ends[1],
        high=ends[2],
        confidence=0.95,
        p=None,
        n={
            "practices": len(phases),
            "before": phases.count(0),
            "after": phases.count(1),
            "attempts": len(phases) * attempts,
        },
        method={"name": "least squares (for tests)"},
        verdict=judged,
        worthwhile={"rating": 0.5, "success": 1.5, "count": 0.8, "time": 0.97}[kind] if fit is not None else None,
        practices_to_settle=None,
        rung="noted" if fit is None else "before-after",
        allowed_sentence=(
            "Changed on this date; too few practices to compare."
            if fit is None
            else f"After the change: {said[0]} than the earlier trend predicts ({said[1]}); "
            "other causes are not ruled out."
        ),
        not_shown=NOT_SHOWN,
        warnings=(),
        sensitivity=(),
        effect_sizes={},
        robustness={},
        drawing=drawing,
        change="c01",
        outcome="drill:gate",
    )


WARNINGS = (
    Warned(code="confounder", message="The tyres were changed within the window; the rung falls by one."),
    Warned(code="unfinished", message="Three attempts stopped at the time limit and count as at least that long."),
    Warned(code="timer", message="Times after 14 March were taken by hand; before that with a light gate."),
)

CASES: dict[str, Callable[[], Finding]] = {
    "plain": lambda: make_finding(
        days=[4 * i + (21 if i > 14 else 0) for i in range(22)],
        events=[(16.5, "tyres changed")],
        unfinished=(2, 7, 13),
        warnings=WARNINGS,
    ),
    "count": lambda: make_finding("count", effect=-0.5, attempts=1, control=True, rung="compared"),
    "rating": lambda: make_finding("rating", effect=1.2, trend=0.02, attempts=3),
    "success": lambda: make_finding("success", effect=0.8, trend=0.01, attempts=1),
    "there_and_back": lambda: make_finding(
        phases=(0,) * 6 + (1,) * 6 + (0,) * 6 + (1,) * 6,
        rung="repeated",
        control=True,
        events=[(3, "illness, one week"), (9.5, "new joystick fitted and calibrated"), (20, "battery")],
    ),
    "alternating": lambda: make_finding(phases=(0, 1, 1, 0, 1, 0, 0, 1) * 3, rung="randomised"),
    "long": lambda: make_finding(
        phases=(0,) * 90 + (1,) * 110,
        trend=-0.001,
        days=[3 * i + (60 if i > 130 else 0) for i in range(200)],
        events=[
            (30, "surface"),
            (32, "tyres"),
            (33, "battery"),
            (34, "new seating with a long description of it"),
            (150, "timer"),
        ],
    ),
    "one_attempt": lambda: make_finding(attempts=1, has_dates=False, old="old setting", new="new setting"),
    "too_few": lambda: make_finding(phases=(0,) * 4 + (1,) * 2, unfinished=(5,)),
    "one_side": lambda: make_finding(
        phases=(0,) * 8,
        drawing={"changes": (ChangeMark(position=8, on=date(2026, 2, 14), text="acceleration 80 → 65"),)},
    ),
    "wide_interval": lambda: make_finding(
        "count",
        phases=(0,) * 4 + (1,) * 4,
        noise=1.5,
        estimate=0.9,
        low=0.05,
        high=14.0,
        verdict="cannot tell yet",
        practices_to_settle=24,
        attempts=1,
    ),
    "near_zero": lambda: make_finding("count", effect=-3.0, attempts=1, estimate=0.001, low=0.0, high=0.05),
    "wordy": lambda: make_finding(
        drawing={
            "title": "The long slalom with a turn on the spot at both ends and a stop in the box, "
            "profile 3, athlete K11"
        },
        old="medium-low acceleration",
        new="high acceleration",
        warnings=WARNINGS * 3,
        not_shown=NOT_SHOWN * 2,
        events=[(i, f"event number {i} of a busy season") for i in range(2, 20, 2)],
    ),
    "empty": lambda: make_finding(phases=()),
}
