"""Orders for several settings: wishes at once, a bundle of given changes, and the way back from steps taken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rampbook.domain.catalogue import DEFAULT, Catalogue
from rampbook.domain.rules import Sheet, broken_rules, check_sheet, known
from rampbook.domain.search import searched_steps, tied
from rampbook.domain.steps import Limit, Step, as_steps, beyond, steps_to, tightness, why_impossible

Bound = tuple[Limit, str]  # a limit, and the setting that sets it


@dataclass(frozen=True, slots=True, kw_only=True)
class WayBack:
    """Steps that undo others, in an order that breaks no rule, and the settings that cannot go back, with why."""

    steps: tuple[Step, ...] = ()
    stuck: tuple[tuple[str, str], ...] = ()


def safe_order(sheet: Sheet, moves: Mapping[str, float], catalogue: Catalogue = DEFAULT) -> list[Step]:
    """Return the moves, one each, in an order that breaks no rule; empty when no order of these alone does.

    Parameters
    ----------
    sheet : mapping of str to float
        The values in force before the first move.
    moves : mapping of str to float
        The new value of each setting; in the order given where the rules leave a choice.
    catalogue : Catalogue
        The settings and rules that apply.

    Notes
    -----
    Each rule ties two settings, so it can only say which of the two goes first. Taking whatever is free until
    nothing is left therefore finds an order whenever there is one.
    """
    steps = _as_far_as_it_goes(sheet, moves, catalogue)
    return steps if len(steps) == len(moves) else []


def steps_to_all(sheet: Sheet, wishes: Mapping[str, float], catalogue: Catalogue = DEFAULT) -> list[Step]:
    """Return the shortest order of steps after which every wish stands, no rule broken at any step.

    Parameters
    ----------
    sheet : mapping of str to float
        The values in force; what a club does not know is left out.
    wishes : mapping of str to float
        What is wished, by setting.
    catalogue : Catalogue
        The settings and rules that apply.

    Returns
    -------
    list of Step
        Empty when they cannot all be reached, see `why_not_together`, or stand already. A wish that stands
        already gets no step.

    Raises
    ------
    EntryError
        When a setting is unknown, or a value is not a finite number.
    """
    if len(wishes) == 1:
        ((setting, value),) = wishes.items()
        return [step for step in steps_to(sheet, setting, value, catalogue) if step.value != step.old_value]
    missing = {name: value for name, value in wishes.items() if sheet.get(name) != value}
    if _conflict(sheet, wishes, catalogue):
        return []
    direct = safe_order(sheet, missing, catalogue)
    after = {**sheet, **wishes}
    if direct and not any(check_sheet(after, name, value, catalogue) for name, value in wishes.items()):
        return direct
    return as_steps(sheet, searched_steps(sheet, wishes, catalogue))


def why_not_together(sheet: Sheet, wishes: Mapping[str, float], catalogue: Catalogue = DEFAULT) -> str | None:
    """Return why no order of steps reaches all wishes, in words; None when one does, or when they stand already."""
    if len(wishes) == 1:
        ((setting, value),) = wishes.items()
        return why_impossible(sheet, setting, value, catalogue)
    if steps_to_all(sheet, wishes, catalogue) or not any(
        sheet.get(name) != value or check_sheet(sheet, name, value, catalogue) for name, value in wishes.items()
    ):
        return None
    return _conflict(sheet, wishes, catalogue) or next(
        filter(None, (why_impossible(sheet, name, value, catalogue) for name, value in wishes.items())),
        "the sheet itself breaks a rule and no single step mends it; check the sheet first",
    )


def way_back(sheet: Sheet, steps: Sequence[Step], catalogue: Catalogue = DEFAULT) -> WayBack:
    """Return how to undo steps that were taken from a sheet, one change at a time, no rule broken on the way.

    From a sheet that keeps its rules everything can go back. A value that was not known, or that broke a rule
    where it stood, cannot, and says why.

    Parameters
    ----------
    sheet : mapping of str to float
        The values in force before the first step.
    steps : sequence of Step
        The steps, in the order they are taken.
    catalogue : Catalogue
        The settings and rules that apply.
    """
    moved = list(dict.fromkeys(step.setting for step in reversed(steps)))
    after = {**sheet, **{step.setting: step.value for step in steps}}
    old = {name: sheet[name] for name in moved if known(sheet, name) and sheet[name] != after[name]}
    back = _as_far_as_it_goes(after, old, catalogue)
    now = {**after, **{step.setting: step.value for step in back}}
    stuck = [(name, "its old value is not on the sheet") for name in moved if not known(sheet, name)]
    for name in old.keys() - {step.setting for step in back}:
        stuck.append((name, check_sheet(now, name, old[name], catalogue)[0].rule))
    return WayBack(steps=tuple(back), stuck=tuple(sorted(stuck)))


def _as_far_as_it_goes(sheet: Sheet, moves: Mapping[str, float], catalogue: Catalogue) -> list[Step]:
    """Return moves, each taken as soon as it breaks no rule, the earliest of those first."""
    here, left, taken = dict(sheet), dict(moves), []
    while free := next((n for n, value in left.items() if not check_sheet(here, n, value, catalogue)), None):
        taken.append((free, left[free]))
        here[free] = left.pop(free)
    return as_steps(sheet, taken)


def _conflict(sheet: Sheet, wishes: Mapping[str, float], catalogue: Catalogue) -> str | None:
    """Return which wish cannot stand whatever the other settings do, or which two cannot stand together.

    Nothing is called impossible here that is not: a setting may also stay where it is, even outside its bounds,
    and a rule that the sheet breaks may stay broken where nothing touches it. The search decides what is left.
    """
    for name, value in wishes.items():
        for block in check_sheet({}, name, value, catalogue):
            return block.rule
    may_stay_broken = [r for r in broken_rules(sheet, catalogue) if not {r.lower, r.upper} & wishes.keys()]
    mine = tied(sheet, wishes, catalogue)
    ceilings: dict[str, Bound] = {}
    for name in (name for name in catalogue.from_top if name in mine):
        entry, here = catalogue.settings[name], sheet.get(name)
        bounds: list[Bound] = [((entry.high if here is None else max(entry.high, here), 0), name)]
        for rule in filter(catalogue.comparable, catalogue.rules_for(name)):
            if rule.lower == name and rule.upper in ceilings and rule not in may_stay_broken:
                (limit, short), source = ceilings[rule.upper]
                bounds.append(((limit, short + rule.strict), source))
        tightest = min(bounds, key=lambda bound: tightness(bound[0]))
        floor = wishes.get(name, entry.low if here is None else min(entry.low, here))
        if beyond(floor, tightest[0]):
            return _at_odds(name, floor, tightest[1], wishes, catalogue)
        ceilings[name] = ((wishes[name], 0), name) if name in wishes else tightest
    return None


def _at_odds(name: str, floor: float, source: str, wishes: Mapping[str, float], catalogue: Catalogue) -> str:
    """Return in words that a setting cannot be as high as it must be."""
    must = f"{name} at {floor:g}" if name in wishes else f"{name}, which cannot be below {floor:g},"
    if source in wishes:
        return f"{must} and {source} at {wishes[source]:g} cannot stand together"
    return f"{must} and {source}, which cannot be above {catalogue.settings[source].high:g}, cannot stand together"
