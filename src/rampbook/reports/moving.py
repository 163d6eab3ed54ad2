"""The matching plan for another chair: what carries over, what to measure first, and the order to approach it in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from rampbook.domain.chairs import Chair
from rampbook.domain.matching import (
    BEFORE,
    BEHAVIOURS,
    EACH_STEP,
    NEW_BASELINE,
    ORDER,
    PRACTICE,
    QUICKENS,
    STOP_RULE,
    Approach,
    Behaviour,
    Measured,
    StartValue,
    Yardstick,
    steps_for,
)
from rampbook.reports import words
from rampbook.reports.pages import page_environment
from rampbook.store.behaviour import Driven, measured_behaviour, start_values, yardsticks
from rampbook.store.connection import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What is known of one chair: measured behaviour, what was never measured, and what practice showed."""

    chair: Chair
    measured: tuple[Measured, ...]
    missing: tuple[Behaviour, ...]
    yardsticks: tuple[Yardstick, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedStep:
    """One step of the order, with the settings of the new chair that it is about and what both chairs show."""

    number: int
    approach: Approach
    start: tuple[StartValue, ...]
    old: tuple[Measured, ...]
    new: tuple[Measured, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovingPlan:
    """The plan of one athlete's move; ``new`` is None while no new chair is on record.

    ``is_at_hand`` says whether the old chair can still be measured, as far as the record tells.
    """

    athlete: str
    profile: int
    made_on: date
    goals: str | None
    old: Shown
    new: Shown | None
    is_at_hand: bool
    steps: tuple[PlannedStep, ...]
    cautions: tuple[str, ...]

    @property
    def to_do(self) -> list[str]:
        """What a person has to see to before the first step."""
        out = []
        if self.old.missing and self.is_at_hand:
            gone = f"rampbook chair {self.athlete} {self.old.chair.name} --until DAY"
            missing = _names(self.old.missing)
            out.append(f"Measure on the old chair before it goes: {missing}. Where it has gone: {gone}.")
        again = [found.behaviour for found in self.old.measured if found.changed_since]
        if again and self.is_at_hand:
            out.append(f"Measure again on the old chair, since a setting was changed later: {_names(again)}.")
        if self.goals is None:
            out.append(
                f"Ask the athlete what the chair is for, and log it: rampbook chair {self.athlete} CHAIR --goals WORDS."
            )
        if self.new is None:
            out.append(f"Log the new chair: rampbook chair {self.athlete} CODE --since DAY --scale SCALE.")
            return out
        if self.new.chair.scale is None:
            out.append(f"Say what the numbers of chair {self.new.chair.name} mean: rampbook chair, --scale.")
        if not any(step.start for step in self.steps):
            out.append(
                f"Log the start values of chair {self.new.chair.name}: rampbook sheet {self.athlete} "
                f"--chair {self.new.chair.name} --profile {self.profile} SETTING=VALUE ..."
            )
        return out

    @property
    def left_out(self) -> list[str]:
        """Which steps are left out, since the new chair's sheet has none of their settings; empty where none is."""
        taken = {step.approach.id for step in self.steps}
        out = [approach for approach in ORDER if approach.id not in taken]
        if not out or self.new is None:
            return []
        return [
            f"{approach.name} is left out: {', '.join(approach.settings)} not on the sheet of chair "
            f"{self.new.chair.name}. If the chair has it, read it and log it."
            for approach in out
        ]

    def to_dict(self) -> dict[str, Any]:
        """Return the parts for JSON, unrounded."""
        return {
            "athlete": self.athlete, "profile": self.profile, "made_on": self.made_on, "goals": self.goals,
            "old_is_at_hand": self.is_at_hand, "old": _as_dict(self.old),
            "new": None if self.new is None else _as_dict(self.new), "to_do": self.to_do,
            "before": self.before, "order_from": PRACTICE,
            "left_out": self.left_out,
            "steps": [
                {
                    "step": step.number, "what": step.approach.name, "start_values": [asdict(v) for v in step.start],
                    "measure": step.approach.measure, "stop_when": step.approach.stop_when,
                    "quickens": step.approach.quickens, "old_chair": [_measured(one) for one in step.old],
                    "new_chair": [_measured(one) for one in step.new],
                }
                for step in self.steps
            ],
            "each_step": list(EACH_STEP), "stop_rule": STOP_RULE, "new_baseline": NEW_BASELINE,
            "cautions": list(self.cautions),
        }  # fmt: skip

    @property
    def before(self) -> list[str]:
        """What comes before the first step."""
        return [line.format(athlete=self.athlete) for line in BEFORE]

    @property
    def not_measured(self) -> list[str]:
        """What was never measured on the old chair, with how to measure it while that chair is at hand."""
        if not self.is_at_hand:
            return [one.name for one in self.old.missing]
        ways: dict[str, list[str]] = {}
        for one in self.old.missing:
            ways.setdefault(one.how.format(athlete=self.athlete), []).append(one.name)
        return [f"{', '.join(names)}: {how}" for how, names in ways.items()]


def gather_plan(
    store: Store,
    athlete: str,
    *,
    profile: int,
    old: Chair,
    new: Chair | None,
    chairs: Sequence[Chair],
    made_on: date,
    cautions: Sequence[str],
) -> MovingPlan:
    """Return the plan for moving from one chair to another; no value of the old chair's settings is read for it."""
    before = _shown(store, Driven(athlete=athlete, chair=old, profile=profile, chairs=chairs))
    driven = None if new is None else Driven(athlete=athlete, chair=new, profile=profile, chairs=chairs)
    after = None if driven is None else _shown(store, driven)
    start = {} if driven is None else {value.setting: value for value in start_values(store, driven)}
    steps = steps_for(set(start))
    return MovingPlan(
        athlete=athlete, profile=profile, made_on=made_on,
        goals=(new.goals if new else None) or old.goals, old=before, new=after,
        is_at_hand=old.until is None or old.until >= made_on,
        steps=tuple(
            PlannedStep(
                number=number, approach=approach, start=tuple(start[name] for name in mine if name in start),
                old=_of(approach, before), new=() if after is None else _of(approach, after),
            )
            for number, (approach, mine) in enumerate(steps, start=1)
        ),
        cautions=tuple(cautions),
    )  # fmt: skip


def plan_lines(plan: MovingPlan) -> list[str]:
    """Return the plan for a person to read, the missing first."""
    to = "a new chair" if plan.new is None else f"chair {plan.new.chair.name}"
    lines = [f"{plan.athlete} moves from chair {plan.old.chair.name} to {to}, profile {plan.profile}", ""]
    lines += [f"Goals: {plan.goals or 'not on record'}", NEW_BASELINE]
    lines += _block("To do first:", plan.to_do)
    lines += _block(f"Measured on chair {plan.old.chair.name}, and carried over:", [m.words for m in plan.old.measured])
    lines += _block(
        "Not measured there:" if plan.is_at_hand else "Never measured there; the athlete's own words must do:",
        plan.not_measured,
    )
    lines += _block(
        "What practice showed there (a picture of the athlete on that chair, not a yardstick for a setting):",
        [one.words for one in plan.old.yardsticks],
    )
    if plan.new is not None:
        lines += _block(f"Measured on chair {plan.new.chair.name}:", [m.words for m in plan.new.measured])
    lines += _block(f"Before step 1 ({PRACTICE}):", plan.before)
    lines += ["", f"The order, one setting at a time ({PRACTICE}):"]
    for step in plan.steps:
        lines += step_lines(step)
    lines += _block("Not among the steps:", plan.left_out)
    return [*lines, *_block("At every step:", [*EACH_STEP, STOP_RULE]), *_block("Always:", plan.cautions)]


def step_lines(step: PlannedStep) -> list[str]:
    """Return one step: its settings with their start values, what to measure, what the old chair did, when to stop."""
    lead = "Came at" if step.start else "Settings"
    out = [f"  {step.number}. {step.approach.name}. {lead}: {start_words(step)}"]
    out.append(f"     Measure: {step.approach.measure}.")
    out += [f"     Old chair: {found.words}." for found in step.old]
    out += [f"     New chair: {found.words}." for found in step.new]
    out.append(f"     Stop when: {step.approach.stop_when}.")
    return [*out, f"     {QUICKENS}"] if step.approach.quickens else out


def start_words(step: PlannedStep) -> str:
    """Return the settings of a step with the values that the new chair came with."""
    if not step.start:
        return ", ".join(stem.replace("_", " ") for stem in step.approach.settings)
    return "; ".join(
        f"{words.setting_name(one.setting)} {one.value:g}" + (f" (now {one.now:g})" if one.now != one.value else "")
        for one in step.start
    )


def render_plan(plan: MovingPlan, *, version: str) -> str:
    """Return the plan as one self-contained HTML page."""
    environment = page_environment()
    environment.filters.update(day=words.day, start=start_words)
    return environment.get_template("moving.html").render(
        plan=plan, version=version, each_step=EACH_STEP, stop_rule=STOP_RULE, new_baseline=NEW_BASELINE,
        practice=PRACTICE, quickens=QUICKENS,
    )  # fmt: skip


def _shown(store: Store, driven: Driven) -> Shown:
    measured = measured_behaviour(store, driven)
    known = {found.behaviour.id for found in measured}
    return Shown(
        chair=driven.chair, measured=tuple(measured),
        missing=tuple(one for name, one in BEHAVIOURS.items() if name not in known),
        yardsticks=tuple(yardsticks(store, driven)),
    )  # fmt: skip


def _of(approach: Approach, shown: Shown) -> tuple[Measured, ...]:
    return tuple(found for found in shown.measured if found.behaviour.id in approach.behaviours)


def _names(behaviours: Sequence[Behaviour]) -> str:
    return ", ".join(one.name for one in behaviours)


def _measured(found: Measured) -> dict[str, Any]:
    return {
        "behaviour": found.behaviour.id, "value": found.value, "unit": found.behaviour.unit, "on": found.on,
        "how": found.how, "changed_since": found.changed_since,
    }  # fmt: skip


def _as_dict(shown: Shown) -> dict[str, Any]:
    chair = shown.chair
    return {
        "chair": chair.chair, "scale": chair.scale, "since": chair.starts, "until": chair.until,
        "measured": [_measured(found) for found in shown.measured], "missing": [one.id for one in shown.missing],
        "practice": [asdict(one) for one in shown.yardsticks],
    }  # fmt: skip


def _block(heading: str, lines: Sequence[str]) -> list[str]:
    return ["", heading, *(f"  - {line}" for line in lines)] if lines else []
