"""What stands between a sheet and a wish, in one answer that is printed for people or for programs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from rampbook.cli.output import figure, section
from rampbook.domain.cautions import cautions
from rampbook.domain.rules import Sheet
from rampbook.domain.settings import (
    Block,
    Catalogue,
    Step,
    Unchecked,
    check_sheet,
    steps_to,
    unchecked_rules,
    why_impossible,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A value wished for one setting, what blocks it, and the steps that get there.

    ``old`` is None when the sheet does not know the setting. ``steps`` is empty when the wish is allowed as
    it is, and when nothing gets there; then ``impossible`` says why.
    """

    setting: str
    value: float
    old: float | None
    blocks: tuple[Block, ...]
    steps: tuple[Step, ...]
    unchecked: tuple[Unchecked, ...]
    impossible: str | None

    @property
    def allowed(self) -> bool:
        """Whether the value may be set as the sheet stands."""
        return not self.blocks

    @property
    def caution_lines(self) -> list[str]:
        """The cautions for the wish and for every step on the way to it."""
        lines = cautions(self.setting, old=self.old, new=self.value)
        for step in self.steps:
            lines += cautions(step.setting, old=step.old_value, new=step.value)
        return list(dict.fromkeys(lines))

    def to_dict(self) -> dict[str, Any]:
        """Return the JSON answer of ``settings --can``."""
        return {
            "allowed": self.allowed,
            "blocked_by": [{"setting": b.setting, "value": b.value, "rule": b.rule} for b in self.blocks],
            "steps": [{"setting": step.setting, "value": step.value} for step in self.steps],
            "old_value": self.old,
            "not_checked": [
                {"setting": u.setting, "rule": u.rule, "reason": u.reason} for u in self.unchecked
            ],
            "impossible": self.impossible,
            "cautions": self.caution_lines,
        }


def weigh(sheet: Sheet, setting: str, value: float, catalogue: Catalogue) -> Wish:
    """Return what stands between a sheet and a wish.

    Raises
    ------
    EntryError
        When the setting is unknown, or the value is not a finite number.
    """
    blocks = tuple(check_sheet(sheet, setting, value, catalogue))
    return Wish(
        setting=setting,
        value=value,
        old=sheet.get(setting),
        blocks=blocks,
        steps=tuple(steps_to(sheet, setting, value, catalogue)) if blocks else (),
        unchecked=tuple(unchecked_rules(sheet, setting, catalogue)),
        impossible=why_impossible(sheet, setting, value, catalogue) if blocks else None,
    )


def wish_lines(wish: Wish) -> list[str]:
    """Return the answer for people: may it be set, what blocks it, the steps, and the way back."""
    here = f"{wish.setting} from {figure(wish.old)} to {figure(wish.value)}"
    if wish.allowed:
        lines = [f"{here}: no rule stands in the way."]
    else:
        lines = [
            f"{here}: not as the sheet stands.",
            *section("What blocks it:", map(block_line, wish.blocks)),
        ]
        lines += (
            step_lines(wish.steps)
            if wish.steps
            else ["", f"No order of steps gets there: {wish.impossible}."]
        )
    lines += section("Could not be checked:", (f"{u.rule} ({u.reason})" for u in wish.unchecked))
    return [*lines, *section("The way back:", way_back(wish))]


def block_line(block: Block) -> str:
    """Return one rule in the way, with the value it holds against."""
    return f"{block.rule} ({block.setting} is {figure(block.value)})"


def step_lines(steps: Sequence[Step]) -> list[str]:
    """Return the steps, numbered, one setting each."""
    numbered = (
        f"  {i}. {step.setting} from {figure(step.old_value)} to {figure(step.value)}"
        for i, step in enumerate(steps, start=1)
    )
    return ["", "The order of steps that gets there, one change at a time:", *numbered]


def way_back(wish: Wish) -> list[str]:
    """Return how to undo the wish: the same steps from last to first."""
    steps = wish.steps or (
        (Step(setting=wish.setting, value=wish.value, old_value=wish.old),) if wish.allowed else ()
    )
    back = [f"{s.setting} back to {figure(s.old_value)}" for s in reversed(steps)]
    if any(step.old_value is None for step in steps):
        back.append("a ? is not on the sheet: read it from the chair and write it down first")
    return back
