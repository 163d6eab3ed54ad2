"""Steps about to be taken, in words: what each does to the chair at the dial practised at, and the way back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from rampbook.cli.output import figure, section
from rampbook.domain.catalogue import Catalogue
from rampbook.domain.cautions import cautions, raises
from rampbook.domain.effective import At, Dial, Felt, dial_of, felt
from rampbook.domain.orders import WayBack, way_back
from rampbook.domain.rules import Sheet
from rampbook.domain.steps import Step
from rampbook.domain.throw import THROW_DEFINITIONS, USUAL, ThrowDefinition
from rampbook.store import Store

MODEL = (
    "Between minimum and maximum the value in force is taken in proportion to the dial, and the gain as command over "
    "travel: a plain model, not your controller. Measure the chair."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Driven:
    """How a chair is driven: the dial that was practised at, None when no practice says, and what its throw means."""

    dial: Dial | None = None
    throw: ThrowDefinition = USUAL


@dataclass(frozen=True, slots=True, kw_only=True)
class Guided:
    """Steps in their order, what each changes for the chair, the dial that was taken for it, and the way back."""

    steps: tuple[Step, ...]
    felts: tuple[Felt, ...]
    dial: Dial | None
    back: WayBack

    @property
    def caution_lines(self) -> list[str]:
        """The cautions of every step, each line once."""
        lines = [line for s in self.steps for line in cautions(s.setting, old=s.old_value, new=s.value)]
        return list(dict.fromkeys([*cautions(), *lines]))

    def to_dict(self) -> dict[str, Any]:
        """Return the parts for JSON, beside the contract's ``steps``."""
        return {
            "each_step": [
                {"setting": s.setting, "old_value": s.old_value, "value": s.value, **_felt_dict(f), "raises": _up(s)}
                for s, f in zip(self.steps, self.felts, strict=True)
            ],
            "dial": None if self.dial is None else _dial_dict(self.dial),
            "steps_back": [{"setting": s.setting, "value": s.value} for s in self.back.steps],
            "cannot_go_back": [{"setting": name, "reason": reason} for name, reason in self.back.stuck],
        }

    def step_lines(self) -> list[str]:
        """Return the steps, numbered, each with what it changes for the chair."""
        return [
            f"  {i}. {step_words(s)}{' (raises it)' if _up(s) else ''}: {felt_words(f)}"
            for i, (s, f) in enumerate(zip(self.steps, self.felts, strict=True), start=1)
        ]

    def dial_lines(self, profile: int | None) -> list[str]:
        """Return which dial was taken and from which practices, and that it is a model; nothing without steps."""
        if not self.steps:
            return []
        return ["", f"Dial: {dial_words(self.dial, profile)}", MODEL]

    def back_lines(self) -> list[str]:
        """Return the way back, one change at a time."""
        points = [f"{s.setting} back to {figure(s.value)}{' (raises it)' if _up(s) else ''}" for s in self.back.steps]
        for name, reason in self.back.stuck:
            points.append(f"{name} cannot go back: {reason}")
        if any(step.old_value is None for step in self.steps):
            points.append("a ? is not on the sheet: read it from the chair and write it down first")
        return section("The way back:", points)


def guide(
    sheet: Sheet, steps: Sequence[Step], catalogue: Catalogue, driven: Driven | None = None
) -> Guided:
    """Return what steps do that are taken from a sheet in this order, as the chair is driven; None: not known."""
    how = driven or Driven()
    here, felts = dict(sheet), []
    for step in steps:
        felts.append(felt(here, step, how.dial, catalogue, throw=how.throw))
        here[step.setting] = step.value
    return Guided(steps=tuple(steps), felts=tuple(felts), dial=how.dial, back=way_back(sheet, steps, catalogue))


def driven_as(store: Store, athlete: str, on: date, profile: int | None, chair: str | None) -> Driven:
    """Return where the dial stood in the last practices with a profile by a day, and what the chair's throw means."""
    said = [row["throw_definition"] for row in store.rows("throw_definition", chair)] if chair else []
    meaning = next(filter(None, said), USUAL.id)
    # Which profile was driven is asked only where a dial is known at all: it takes longer than all else here.
    is_known = any(row["dial_percent"] is not None for row in store.rows("practices_of_athlete", athlete))
    practices = store.rows("dial_practised", athlete, on, profile) if is_known else []
    return Driven(dial=dial_of(practices), throw=THROW_DEFINITIONS[meaning])


def step_words(step: Step) -> str:
    """Return one step: the setting, its value before, and its value after."""
    return f"{step.setting} from {figure(step.old_value)} to {figure(step.value)}"


def felt_words(felt: Felt) -> str:
    """Return in words whether a step changes the chair, at which dial and by how much."""
    if not felt.at:
        return "Rampbook has no model of this setting; take it as one that changes the chair"
    amounts = _amounts(felt)
    if felt.at[0].dial_percent is None:
        return f"changes the chair wherever the dial stands: {amounts}"
    if felt.changes is None:
        return f"depends on the dial, which is not known: {amounts}"
    if felt.changes:
        return f"changes the chair: {amounts}"
    return f"only housekeeping: {amounts}; with the dial elsewhere the chair may change"


def dial_words(dial: Dial | None, profile: int | None) -> str:
    """Return which dial position was taken, and from which practices."""
    if dial is None:
        return "not known, no practice says where it stood (rampbook practice --dial); both ends are given."
    n = len(dial.practices)
    named = f"with profile {figure(profile)}" if dial.named else "that name no profile"
    which = f"the middle of the last {n} practices {named}" if n > 1 else f"the last practice {named}"
    days = f"{dial.first_on} to {dial.last_on}" if n > 1 else f"{dial.last_on}"
    spread = f"; it stood from {dial.low:g}% to {dial.high:g}%" if dial.low < dial.high else ""
    return f"{dial.percent:g}%, {which} ({days}: {', '.join(dial.practices)}){spread}."


def _amounts(felt: Felt) -> str:
    """Return the amounts at each position of the dial."""
    parts = [f"{_amount(at)}{_where(at)}" for at in felt.at]
    unit = f" {felt.unit}" if felt.unit else ""
    return f"{felt.quantity} {'; '.join(parts)}{unit}"


def _where(at: At) -> str:
    return "" if at.dial_percent is None else f" at dial {at.dial_percent:g}%"


def _amount(at: At) -> str:
    if at.change is None:
        return "by an amount that is not known"
    if abs(at.change) < 1e-9:
        return "stays" if at.before is None else f"stays {_short(at.before)}"
    if at.before is None or at.after is None:
        return f"by {at.change:+.3g}"
    return f"{_short(at.before)} → {_short(at.after)} ({at.change:+.3g})"


def _short(value: float) -> str:
    return f"{value:.4g}"


def _up(step: Step) -> bool:
    return raises(step.setting, old=step.old_value, new=step.value)


def _felt_dict(felt: Felt) -> dict[str, Any]:
    at = [
        {"dial_percent": at.dial_percent, "before": at.before, "after": at.after, "change": at.change} for at in felt.at
    ]
    housekeeping = None if felt.changes is None else not felt.changes
    return {"quantity": felt.quantity, "changes_the_chair": felt.changes, "housekeeping": housekeeping, "at": at}


def _dial_dict(dial: Dial) -> dict[str, Any]:
    return {
        "percent": dial.percent, "low": dial.low, "high": dial.high, "practices": list(dial.practices),
        "first_on": dial.first_on, "last_on": dial.last_on, "profile_named": dial.named,
    }  # fmt: skip
