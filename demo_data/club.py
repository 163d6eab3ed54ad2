"""One season of the invented club, drawn with a seed and written as a club would keep it.

``write_tables`` writes the nine tables that ``rampbook load`` reads. The stories and their true effects are
in ``stories.py``, the model in the README. Only the standard library and numpy are needed: the demo starts
at once.
"""

from __future__ import annotations

import csv
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .stories import (
    BAD_ROWS,
    BREAK_FROM,
    BREAK_TO,
    DRILLS,
    JOYSTICK,
    MATCH,
    MEMBERS,
    PRACTICE_WEEKDAYS,
    ROAD,
    SEASON_FROM,
    SEASON_TO,
    SEED,
    SHEET,
    STEPS,
    TRUTHS,
    Member,
    Step,
    Truth,
)

RHO = 0.3  # correlation of neighbouring practices one typical gap apart; a break weakens it
PRACTICE_SD = 0.045  # of log time
SHARED = 0.7  # share of the practice variance common to all that an athlete drives on one day
ATTEMPT_SD = 0.08  # of log time
RATING_SD = 0.6
COUNT_SD = 0.25  # of the log rate, beyond Poisson
LOGIT_SD = 0.3
PASSES = 20

Floats = NDArray[np.float64]
COLUMNS = {
    "athletes": ("athlete", "birth_year", "consent", "consent_on"),
    "settings": ("athlete", "chair", "profile", "setting", "value", "on"),
    "changes": ("change", "athlete", "chair", "profile", "setting", "old_value", "new_value", "on", "role",
                "reason", "planned", "goes_back_to"),
    "practices": ("practice", "athlete", "on", "minutes", "surface", "battery_percent", "dial_percent",
                  "fatigue", "pain"),
    "attempts": ("attempt", "practice", "athlete", "profile", "drill", "seconds", "finished", "limit_s",
                 "touches", "timer"),
    "counts": ("practice", "athlete", "profile", "outcome", "count", "minutes"),
    "ratings": ("practice", "athlete", "profile", "outcome", "rating", "by"),
    "tries": ("practice", "athlete", "profile", "outcome", "successes", "tries"),
    "events": ("athlete", "on", "event", "note"),
}  # fmt: skip

Rows = dict[str, list[dict[str, Any]]]


def write_tables(folder: Path, *, seed: int = SEED) -> list[Path]:
    """Write the nine tables into ``folder`` and return their paths; the same seed gives the same bytes.

    ``ratings.csv`` is as a spreadsheet in a decimal-comma country saves it: semicolons, commas, and a
    byte-order mark. The others are plain CSV.
    """
    folder.mkdir(parents=True, exist_ok=True)
    return [_write(folder / f"{table}.csv", table, rows) for table, rows in make_tables(seed=seed).items()]


def make_tables(*, seed: int = SEED) -> Rows:
    """Return the nine tables as rows, bad rows included, in the order in which a club would enter them."""
    rng = np.random.default_rng(seed)
    rows: Rows = {table: [] for table in COLUMNS}
    for number, member in enumerate(MEMBERS, start=1):
        days = _practice_days(rng, member.n_practices)
        _enter_member(rows, member, chair=f"W{number:02d}", days=days)
        _enter_practices(rows, member, days, rng)
    rows["changes"].sort(key=lambda row: (row["on"], row["change"]))
    for bad in BAD_ROWS:
        rows[bad.table].append(dict(zip(COLUMNS[bad.table], bad.cells.split(","), strict=True)))
    return rows


def _practice_days(rng: np.random.Generator, n: int) -> list[date]:
    """Return n of the club's practice days, drawn so that gaps are uneven; none in the winter break."""
    span = (SEASON_TO - SEASON_FROM).days + 1
    every = [SEASON_FROM + timedelta(days=i) for i in range(span)]
    open_days = [d for d in every if d.weekday() in PRACTICE_WEEKDAYS and not BREAK_FROM <= d <= BREAK_TO]
    return [open_days[i] for i in sorted(rng.choice(len(open_days), size=n, replace=False))]


def _enter_member(rows: Rows, member: Member, *, chair: str, days: list[date]) -> None:
    athlete = member.athlete
    rows["athletes"].append(
        {
            "athlete": athlete,
            "birth_year": member.birth_year,
            "consent": "pool" if athlete < "K05" else "club",
            "consent_on": "2025-08-28",
        }
    )
    steps = [step for step in STEPS if step.athlete == athlete]
    sheet = SHEET | {step.setting: step.old for step in reversed(steps)}
    for profile, scale in ((ROAD, 0.6), (MATCH, 1.0)):
        for setting, value in sheet.items():
            keeps = setting.startswith(("throw", "deadband"))
            shown = SHEET[setting] if profile == ROAD else value
            rows["settings"].append(
                {
                    "athlete": athlete,
                    "chair": chair,
                    "profile": profile,
                    "setting": setting,
                    "value": f"{shown if keeps else shown * scale:g}",
                    "on": "2025-08-30",
                }
            )
    rows["changes"].extend(_change_row(step, chair, days) for step in steps)
    if athlete == JOYSTICK[0]:
        eve = days[JOYSTICK[1]] - timedelta(days=1)
        rows["events"].append(
            {"athlete": athlete, "on": eve, "event": "new_joystick", "note": "old one worn out"}
        )
        rows["events"].append({"athlete": athlete, "on": eve, "event": "calibration", "note": ""})


def _change_row(step: Step, chair: str, days: list[date]) -> dict[str, Any]:
    return {
        "change": step.change, "athlete": step.athlete, "chair": chair, "profile": MATCH,
        "setting": step.setting, "old_value": f"{step.old:g}", "new_value": f"{step.new:g}",
        "on": days[step.before] - timedelta(days=1), "role": step.role, "reason": step.reason,
        "planned": step.planned, "goes_back_to": step.goes_back_to or "",
    }  # fmt: skip


def _enter_practices(rows: Rows, member: Member, days: list[date], rng: np.random.Generator) -> None:
    names = [f"{member.athlete}-{i + 1:02d}" for i in range(len(days))]
    for name, day in zip(names, days, strict=True):
        known = rng.random() > 0.08  # now and then nobody wrote down battery, fatigue and pain
        rows["practices"].append(
            {
                "practice": name,
                "athlete": member.athlete,
                "on": day,
                "minutes": int(rng.integers(12, 19)) * 5,
                "surface": "wood",
                "battery_percent": int(rng.integers(80, 101)) if known else "",
                "dial_percent": 100,
                "fatigue": int(rng.integers(1, 7)) if known else "",
                "pain": int(rng.integers(0, 4)) if known else "",
            }
        )
    shared = _practice_effect(rng, days)
    for drill in DRILLS:
        _enter_drill(rows, member, drill, MATCH, names, _mixed(shared, rng, days), rng)
    if member.compares:
        _enter_drill(rows, member, member.compares, ROAD, names, _mixed(shared, rng, days), rng)
    _enter_counts(rows, member, names, _practice_effect(rng, days), rng)
    _enter_ratings(rows, member, names, _practice_effect(rng, days), rng)
    _enter_tries(rows, member, names, _practice_effect(rng, days), rng)


def _practice_effect(rng: np.random.Generator, days: list[date]) -> Floats:
    """Return one standard normal a practice, correlated RHO at the typical gap and less over a break."""
    gaps = np.diff([d.toordinal() for d in days])
    rho = RHO ** (gaps / np.median(gaps))
    noise: Floats = rng.standard_normal(len(days))
    for t in range(1, len(days)):
        noise[t] = rho[t - 1] * noise[t - 1] + np.sqrt(1 - rho[t - 1] ** 2) * noise[t]
    return noise


def _mixed(shared: Floats, rng: np.random.Generator, days: list[date]) -> Floats:
    own = _practice_effect(rng, days)
    mixed: Floats = PRACTICE_SD * (np.sqrt(SHARED) * shared + np.sqrt(1 - SHARED) * own)
    return mixed


def _shift(athlete: str, outcome: str, profile: int, n: int) -> Floats:
    """Return the summed true effect at each practice: log ratio, log odds ratio, or points."""
    total = np.zeros(n)
    if outcome.startswith("drill:") and athlete == JOYSTICK[0]:
        total[JOYSTICK[1] :] += np.log(JOYSTICK[2])
    if profile != MATCH:
        return total
    for step in (step for step in STEPS if step.athlete == athlete):
        truth = _truth_behind(step, outcome)
        if truth:
            size = truth.effect if truth.scale == "points" else np.log(truth.effect)
            total[step.before :] += size if step.new == _first_step(step).new else -size
    return total


def _truth_behind(step: Step, outcome: str) -> Truth | None:
    first = _first_step(step)
    return next((t for t in TRUTHS if (t.change, t.outcome) == (first.change, outcome)), None)


def _first_step(step: Step) -> Step:
    """Return the change that a there-and-back series began with."""
    while step.goes_back_to:
        step = next(s for s in STEPS if s.change == step.goes_back_to)
    return step


def _touch_ratio(athlete: str, outcome: str, profile: int, n: int) -> Floats:
    ratio = np.ones(n)
    for step in (step for step in STEPS if step.athlete == athlete and profile == MATCH):
        truth = _truth_behind(step, outcome)
        if truth:
            ratio[step.before :] = truth.touches
    return ratio


def _enter_drill(
    rows: Rows,
    member: Member,
    drill: str,
    profile: int,
    names: list[str],
    u: Floats,
    rng: np.random.Generator,
) -> None:
    usual, touch_rate, limit = DRILLS[drill]
    n, outcome = len(names), f"drill:{drill}"
    slower = 1.0 if profile == MATCH else 1.25
    level = np.log(usual * member.pace * slower) + member.learning * np.arange(n)
    level = level + _shift(member.athlete, outcome, profile, n) + u
    touches = touch_rate * _touch_ratio(member.athlete, outcome, profile, n)
    for i, name in enumerate(names):
        for k in range(int(rng.integers(4, 7))):
            seconds = float(np.exp(level[i] + ATTEMPT_SD * rng.standard_normal()))
            finished = limit is None or seconds < limit
            rows["attempts"].append(
                {
                    "attempt": f"{name}-{drill}{profile}-{k + 1}",
                    "practice": name,
                    "athlete": member.athlete,
                    "profile": profile,
                    "drill": drill,
                    "seconds": f"{seconds if finished else limit:.2f}",
                    "finished": int(finished),
                    "limit_s": "" if limit is None else f"{limit:g}",
                    "touches": int(rng.poisson(touches[i])),
                    "timer": member.timer,
                }
            )


def _enter_counts(rows: Rows, member: Member, names: list[str], u: Floats, rng: np.random.Generator) -> None:
    rate = np.log(8.0) - 0.003 * np.arange(len(names)) + COUNT_SD * u
    per_hour = np.exp(rate + _shift(member.athlete, "collisions", MATCH, len(names)))
    for i, name in enumerate(names):
        minutes = int(rng.integers(5, 9)) * 5
        if rng.random() > 0.04:  # now and then nobody counted
            rows["counts"].append(
                {
                    "practice": name,
                    "athlete": member.athlete,
                    "profile": MATCH,
                    "outcome": "collisions",
                    "count": int(rng.poisson(per_hour[i] * minutes / 60)),
                    "minutes": minutes,
                }
            )


def _enter_ratings(rows: Rows, member: Member, names: list[str], u: Floats, rng: np.random.Generator) -> None:
    level = {"comfort": 5.5, "control": 6.5}
    for outcome, start in level.items():
        value = start + RATING_SD * u + _shift(member.athlete, outcome, MATCH, len(names))
        for i, name in enumerate(names):
            felt = np.clip(value[i] + 0.3 * rng.standard_normal(), 0, 10)
            rows["ratings"].append(
                {
                    "practice": name,
                    "athlete": member.athlete,
                    "profile": MATCH,
                    "outcome": outcome,
                    "rating": f"{round(felt * 2) / 2:g}",
                    "by": "self",
                }
            )


def _enter_tries(rows: Rows, member: Member, names: list[str], u: Floats, rng: np.random.Generator) -> None:
    logit = (
        -0.6
        + 0.005 * np.arange(len(names))
        + LOGIT_SD * u
        + _shift(member.athlete, "passes", MATCH, len(names))
    )
    chance = 1 / (1 + np.exp(-logit))
    for i, name in enumerate(names):
        rows["tries"].append(
            {
                "practice": name,
                "athlete": member.athlete,
                "profile": MATCH,
                "outcome": "passes",
                "successes": int(rng.binomial(PASSES, chance[i])),
                "tries": PASSES,
            }
        )


def _write(path: Path, table: str, rows: list[dict[str, Any]]) -> Path:
    comma = table == "ratings"
    with path.open("w", encoding="utf-8-sig" if comma else "utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS[table], delimiter=";" if comma else ",", lineterminator="\n")
        writer.writeheader()
        for row in rows:
            writer.writerow(row | {"rating": str(row["rating"]).replace(".", ",")} if comma else row)
    return path
