"""The invented club keeps what its README says: its seed, its true effects, and the rules of the settings."""

from __future__ import annotations

import sys
from collections import defaultdict
from pathlib import Path
from typing import Any

import numpy as np
import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from demo_data import club, stories  # noqa: E402

N_SEEDS = 16
Rows = dict[str, list[dict[str, Any]]]


@pytest.fixture(scope="module")
def many_seasons() -> list[Rows]:
    return [club.make_tables(seed=seed) for seed in range(N_SEEDS)]


@pytest.fixture(scope="module")
def season() -> Rows:
    return club.make_tables()


def test_same_seed_gives_the_same_bytes_and_another_seed_does_not(tmp_path: Path) -> None:
    first = [p.read_bytes() for p in club.write_tables(tmp_path / "a")]
    assert [p.read_bytes() for p in club.write_tables(tmp_path / "b")] == first
    assert [p.read_bytes() for p in club.write_tables(tmp_path / "c", seed=stories.SEED + 1)] != first


def test_size_is_that_of_a_season(season: Rows) -> None:
    assert len(season["athletes"]) == 8
    assert 290 <= len(season["practices"]) <= 310
    assert 5700 <= len(season["attempts"]) <= 6500
    assert not [p for p in season["practices"] if "2025-12-20" <= str(p["on"]) <= "2026-01-10"]


@pytest.mark.parametrize(
    "truth", [t for t in stories.TRUTHS if t.change != "C13"], ids=lambda t: f"{t.change}-{t.outcome}"
)
def test_the_true_effect_is_in_the_rows(truth: stories.Truth, many_seasons: list[Rows]) -> None:
    """After less before, with the known learning taken out, is the stated shift on average over seeds."""
    found = np.array([_after_less_before(rows, truth) for rows in many_seasons])
    wanted = truth.shift if truth.scale == "points" else np.log(truth.shift)
    margin = 4 * found.std(ddof=1) / np.sqrt(N_SEEDS)
    # Half points, the half added to counts and successes, and times cut at the limit bias the crude mean.
    crude = 0.02 if truth.outcome.startswith("drill:") else 0.12
    assert abs(found.mean() - wanted) < margin + crude


def test_the_setting_with_the_joystick_did_nothing_and_the_joystick_did(many_seasons: list[Rows]) -> None:
    shifts = np.mean([_joystick_shifts(rows) for rows in many_seasons], axis=0)
    assert abs(shifts[0]) < 0.05
    assert abs(shifts[1] - np.log(0.86)) < 0.05


def test_faster_slalom_of_k08_came_with_twice_the_touches(many_seasons: list[Rows]) -> None:
    step = next(s for s in stories.STEPS if s.change == "C15")
    sums = np.zeros((2, 2))
    for row in (r for rows in many_seasons for r in rows["attempts"]):
        if (row["athlete"], row["drill"]) == ("K08", "slalom"):
            phase = int(_number(row) >= step.before)
            sums[phase] += (row["touches"], 1)
    rate = sums[:, 0] / sums[:, 1]
    assert rate[1] / rate[0] == pytest.approx(2.2, rel=0.1)


def test_every_good_change_starts_from_the_sheet_and_keeps_the_rules(season: Rows) -> None:
    sheet = {(r["athlete"], str(r["profile"]), r["setting"]): float(r["value"]) for r in season["settings"]}
    bad = {b.cells.split(",")[0] for b in stories.BAD_ROWS if b.table == "changes"}
    for change in (c for c in season["changes"] if c["change"] not in bad):
        key = (change["athlete"], str(change["profile"]), change["setting"])
        assert float(change["old_value"]) == sheet[key], change
        sheet[key] = float(change["new_value"])
        _check_rules(sheet, change["athlete"], str(change["profile"]))


def test_no_change_falls_on_a_practice_day(season: Rows) -> None:
    days = {(p["athlete"], str(p["on"])) for p in season["practices"]}
    assert not [c["change"] for c in season["changes"] if (c["athlete"], str(c["on"])) in days]


def test_readme_states_every_truth_the_seed_and_every_bad_row() -> None:
    readme = (ROOT / "demo_data" / "README.md").read_text(encoding="utf-8")
    assert str(stories.SEED) in readme
    for truth in stories.TRUTHS:
        line = next(
            x
            for x in readme.splitlines()
            if x.startswith("| C")
            and truth.change in x.split("|")[1]
            and truth.outcome == x.split("|")[3].strip()
        )
        assert f"{truth.effect:.2f}" in line or f"{truth.effect:.1f}" in line
        assert truth.may_say in line
    assert all(f"| {bad.table} |" in readme and bad.why in readme for bad in stories.BAD_ROWS)


def _number(row: dict[str, Any]) -> int:
    return int(row["practice"].split("-")[1]) - 1


def _after_less_before(rows: Rows, truth: stories.Truth) -> float:
    step = next(s for s in stories.STEPS if s.change == truth.change)
    same = [s.before for s in stories.STEPS if s.athlete == step.athlete]
    first = max([b for b in same if b < step.before], default=0)
    last = min([b for b in same if b > step.before], default=999)
    values = _values(rows, truth.outcome, step.athlete)
    before = [v for i, v in values if first <= i < step.before]
    after = [v for i, v in values if step.before <= i < last]
    return float(np.mean(after) - np.mean(before))


def _values(rows: Rows, outcome: str, athlete: str) -> list[tuple[int, float]]:
    member = next(m for m in stories.MEMBERS if m.athlete == athlete)
    if outcome.startswith("drill:"):
        drill = outcome.removeprefix("drill:")
        logs = defaultdict(list)
        for r in rows["attempts"]:
            if (r["athlete"], r["drill"], r["profile"]) == (athlete, drill, 2):
                logs[_number(r)].append(np.log(float(r["seconds"])))
        return [(i, float(np.mean(v)) - member.learning * i) for i, v in sorted(logs.items())]
    mine = [
        r
        for t in ("counts", "ratings", "tries")
        for r in rows[t]
        if (r["athlete"], r["outcome"], r["profile"]) == (athlete, outcome, 2)
    ]
    return [(_number(r), _crude(r) - _trend(outcome) * _number(r)) for r in mine]


def _crude(row: dict[str, Any]) -> float:
    if "rating" in row:
        return float(row["rating"])
    if "count" in row:
        return float(np.log((row["count"] + 0.5) / row["minutes"]))
    return float(np.log((row["successes"] + 0.5) / (row["tries"] - row["successes"] + 0.5)))


def _trend(outcome: str) -> float:
    return {"collisions": -0.003, "passes": 0.005}.get(outcome, 0.0)


def _joystick_shifts(rows: Rows) -> tuple[float, float]:
    values = _values(rows, "drill:gate", "K07")
    level = [
        float(np.mean([v for i, v in values if low <= i < high]))
        for low, high in ((0, 13), (13, 17), (17, 28))
    ]
    return level[1] - level[0], level[2] - level[1]


def _check_rules(sheet: dict[tuple[str, str, str], float], athlete: str, profile: str) -> None:
    mine = {setting: v for (a, p, setting), v in sheet.items() if (a, p) == (athlete, profile)}
    for setting, value in mine.items():
        if setting.endswith("_max"):
            assert value >= mine[setting.replace("_max", "_min")], (athlete, setting)
    assert mine["reverse_speed_max"] <= mine["forward_speed_max"]
    assert mine["deadband"] < mine["throw_forward"]
