"""What stands between a sheet and a wish, or several, in one answer that is printed for people or for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from rampbook.cli.guided import Driven, Guided, driven_as, felt_words, guide, step_words
from rampbook.cli.inputs import number, pairs
from rampbook.cli.output import figure, section
from rampbook.cli.sheets import one_sheet
from rampbook.domain.cautions import cautions
from rampbook.domain.orders import steps_to_all, why_not_together
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
from rampbook.store import Store
from rampbook.store.catalogue import read_catalogue

ONE_AT_A_TIME = (
    "More than one setting is wished for. One change at a time is the rule: take the first, practise with it, and "
    "decide on the next after that."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A value wished for one setting, what blocks it, and the steps that get there.

    ``old`` is None when the sheet does not know the setting. ``steps`` is empty when the wish is allowed as
    it is, and when nothing gets there; then ``impossible`` says why. ``guided`` holds what each step does and the
    way back, also where the wish itself is the only step.
    """

    setting: str
    value: float
    old: float | None
    blocks: tuple[Block, ...]
    steps: tuple[Step, ...]
    unchecked: tuple[Unchecked, ...]
    impossible: str | None
    guided: Guided

    @property
    def allowed(self) -> bool:
        """Whether the value may be set as the sheet stands."""
        return not self.blocks

    @property
    def caution_lines(self) -> list[str]:
        """The cautions for the wish and for every step on the way to it."""
        lines = cautions(self.setting, old=self.old, new=self.value)
        return list(dict.fromkeys([*lines, *self.guided.caution_lines]))

    def to_dict(self) -> dict[str, Any]:
        """Return the JSON answer of ``settings --can``."""
        return {
            "allowed": self.allowed,
            "blocked_by": _blocks(self.blocks),
            "steps": [{"setting": step.setting, "value": step.value} for step in self.steps],
            "old_value": self.old,
            "not_checked": _not_checked(self.unchecked),
            "impossible": self.impossible,
            **self.guided.to_dict(),
            "cautions": self.caution_lines,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """Values wished for several settings at once.

    ``blocks`` are the rules in the way that the wishes do not free by themselves. The steps always stand in
    ``guided``: their order matters even where nothing blocks.
    """

    wanted: Mapping[str, float]
    old: Mapping[str, float | None]
    blocks: tuple[Block, ...]
    unchecked: tuple[Unchecked, ...]
    impossible: str | None
    guided: Guided

    @property
    def allowed(self) -> bool:
        """Whether they may all be set with no other step."""
        return not self.blocks and self.impossible is None

    @property
    def caution_lines(self) -> list[str]:
        """The cautions of every step, and that one change at a time is the rule."""
        return [ONE_AT_A_TIME, *self.guided.caution_lines]

    def to_dict(self) -> dict[str, Any]:
        """Return the JSON answer of ``settings --can`` given more than once."""
        return {
            "allowed": self.allowed,
            "blocked_by": _blocks(self.blocks),
            "steps": [{"setting": step.setting, "value": step.value} for step in self.guided.steps],
            "wishes": [{"setting": n, "old_value": self.old[n], "value": v} for n, v in self.wanted.items()],
            "not_checked": _not_checked(self.unchecked),
            "impossible": self.impossible,
            **self.guided.to_dict(),
            "cautions": self.caution_lines,
        }


def weigh(sheet: Sheet, setting: str, value: float, catalogue: Catalogue, driven: Driven | None = None) -> Wish:
    """Return what stands between a sheet and a wish; ``driven`` is how the chair is driven, None: not known.

    Raises
    ------
    EntryError
        When the setting is unknown, or the value is not a finite number.
    """
    blocks = tuple(check_sheet(sheet, setting, value, catalogue))
    found = steps_to(sheet, setting, value, catalogue)
    # A wish that stands already and breaks a rule needs only what frees it.
    steps = tuple(step for step in found if step.value != step.old_value)
    return Wish(
        setting=setting,
        value=value,
        old=sheet.get(setting),
        blocks=blocks,
        steps=steps if blocks else (),
        unchecked=tuple(unchecked_rules(sheet, setting, catalogue)),
        impossible=why_impossible(sheet, setting, value, catalogue) if blocks else None,
        guided=guide(sheet, steps, catalogue, driven),
    )


def weigh_all(sheet: Sheet, wanted: Mapping[str, float], catalogue: Catalogue, driven: Driven | None = None) -> Wishes:
    """Return what stands between a sheet and several wishes at once.

    Raises
    ------
    EntryError
        When a setting is unknown, or a value is not a finite number.
    """
    together = {**sheet, **wanted}
    blocks = {block: None for name, value in wanted.items() for block in check_sheet(together, name, value, catalogue)}
    unchecked = {u: None for name in wanted for u in unchecked_rules(together, name, catalogue)}
    return Wishes(
        wanted=wanted,
        old={name: sheet.get(name) for name in wanted},
        blocks=tuple(blocks),
        unchecked=tuple(unchecked),
        impossible=why_not_together(sheet, wanted, catalogue),
        guided=guide(sheet, steps_to_all(sheet, wanted, catalogue), catalogue, driven),
    )


def answer_wishes(
    store: Store, athlete: str, on: date, rows: list[dict[str, Any]], can: Sequence[str]
) -> tuple[list[str], dict[str, Any]]:
    """Return whether one wish or several may be set on a sheet, as lines and as a document.

    Parameters
    ----------
    store : Store
        An open store.
    athlete : str
        Code of the athlete.
    on : date
        The day of the sheet; the dial is taken from practices up to then.
    rows : list of dict
        The values of one chair and profile.
    can : sequence of str
        ``SETTING=VALUE``, once for each wish.
    """
    texts = pairs(can, field="--can", saving=False)
    wanted = {name: number(text, field=name, saving=False) for name, text in texts.items()}
    values, chair, profile = one_sheet(rows, athlete)
    catalogue = read_catalogue(store.connection)
    driven = driven_as(store, athlete, on, profile, chair)
    where = f"{athlete}, profile {figure(profile)}" + (f", chair {chair}" if chair else "")
    wish: Wish | Wishes
    if len(wanted) == 1:
        wish = weigh(values, *next(iter(wanted.items())), catalogue, driven)
        lines = wish_lines(wish, profile)
    else:
        wish = weigh_all(values, wanted, catalogue, driven)
        lines = wishes_lines(wish, profile)
    return [where, *lines, *section("Before anything is changed:", wish.caution_lines)], wish.to_dict()


def wish_lines(wish: Wish, profile: int | None = None) -> list[str]:
    """Return the answer for people: may it be set, what blocks it, the steps, what each does, and the way back."""
    here = f"{wish.setting} from {figure(wish.old)} to {figure(wish.value)}"
    if wish.allowed and wish.old == wish.value:
        return [f"{wish.setting} is {figure(wish.old)} already: there is nothing to change."]
    if wish.allowed:
        lines = [f"{here}: no rule stands in the way.", f"What it does: {felt_words(wish.guided.felts[0])}"]
    else:
        lines = [f"{here}: not as the sheet stands.", *section("What blocks it:", map(block_line, wish.blocks))]
        lines += _order_lines(wish.guided, wish.impossible)
    lines += wish.guided.dial_lines(profile)
    return [*lines, *_unchecked_lines(wish.unchecked), *wish.guided.back_lines()]


def wishes_lines(wishes: Wishes, profile: int | None = None) -> list[str]:
    """Return the answer for people to several wishes at once."""
    wanted = (f"{name} from {figure(wishes.old[name])} to {figure(v)}" for name, v in wishes.wanted.items())
    if wishes.allowed and not wishes.guided.steps:
        return [*wanted, "All of them stand already: there is nothing to change."]
    lines = ["; ".join(wanted) + (": no rule stands in the way." if wishes.allowed else ": not as the sheet stands.")]
    lines += section("What blocks them, even taken together:", map(block_line, wishes.blocks))
    lines += _order_lines(wishes.guided, wishes.impossible)
    lines += wishes.guided.dial_lines(profile)
    return [*lines, *_unchecked_lines(wishes.unchecked), *wishes.guided.back_lines()]


def block_line(block: Block) -> str:
    """Return one rule in the way, with the value it holds against."""
    return f"{block.rule} ({block.setting} is {figure(block.value)})"


def step_lines(steps: Sequence[Step]) -> list[str]:
    """Return the steps, numbered, one setting each."""
    numbered = (f"  {i}. {step_words(step)}" for i, step in enumerate(steps, start=1))
    return ["", "The order of steps that gets there, one change at a time:", *numbered]


def _order_lines(guided: Guided, impossible: str | None) -> list[str]:
    if not guided.steps:
        return ["", f"No order of steps gets there: {impossible}."]
    return ["", "The order of steps that gets there, one change at a time:", *guided.step_lines()]


def _unchecked_lines(unchecked: Sequence[Unchecked]) -> list[str]:
    return section("Could not be checked:", (f"{u.rule} ({u.reason})" for u in unchecked))


def _blocks(blocks: Sequence[Block]) -> list[dict[str, Any]]:
    return [{"setting": b.setting, "value": b.value, "rule": b.rule} for b in blocks]


def _not_checked(unchecked: Sequence[Unchecked]) -> list[dict[str, Any]]:
    return [{"setting": u.setting, "rule": u.rule, "reason": u.reason} for u in unchecked]
