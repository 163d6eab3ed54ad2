"""A search through the settings of a sheet that already breaks a rule, where no order can be read off."""

from __future__ import annotations

from heapq import heappop, heappush
from itertools import count, pairwise

from rampbook.domain.catalogue import Catalogue, Setting
from rampbook.domain.rules import Sheet, check_sheet, known

Move = tuple[str, float]


def searched_steps(sheet: Sheet, setting: str, value: float, catalogue: Catalogue) -> list[Move]:
    """Return the shortest list of moves that ends with the wish, or an empty list when there is none.

    Every move leaves the rules of the setting it touches kept. The rules only compare, so trying every value
    that stands on the sheet, every bound, and values between two of these is enough. States are taken up in
    the order of moves made plus settings still in the way, which no real path can undercut.
    """
    names = _tied(sheet, setting, catalogue)
    tries = _values_to_try(sheet, names, value, catalogue)
    start = tuple(sheet[name] if known(sheet, name) else None for name in names)
    order = count()
    queue: list[tuple[int, int, tuple[float | None, ...], tuple[Move, ...]]] = [(0, next(order), start, ())]
    seen: dict[tuple[float | None, ...], int] = {start: 0}
    while queue:
        _, _, state, moves = heappop(queue)
        here = _as_sheet(names, state)
        if not check_sheet(here, setting, value, catalogue):
            return [*moves, (setting, value)]
        for i, name in enumerate(names):
            for wanted in tries[name] if state[i] is not None else ():
                after = (*state[:i], wanted, *state[i + 1 :])
                if seen.get(after, len(moves) + 2) <= len(moves) + 1:
                    continue
                if check_sheet(here, name, wanted, catalogue):
                    continue
                seen[after] = len(moves) + 1
                in_the_way = {
                    b.setting for b in check_sheet(_as_sheet(names, after), setting, value, catalogue)
                }
                heappush(
                    queue, (len(moves) + 1 + len(in_the_way), next(order), after, (*moves, (name, wanted)))
                )
    return []


def _as_sheet(names: list[str], state: tuple[float | None, ...]) -> dict[str, float]:
    return {name: v for name, v in zip(names, state, strict=True) if v is not None}


def _tied(sheet: Sheet, setting: str, catalogue: Catalogue) -> list[str]:
    """Return the setting and every known one that rules tie to it, directly or through others."""
    found, queue = [setting], [setting]
    while queue:
        for rule in catalogue.rules_for(queue.pop()):
            for name in (rule.lower, rule.upper):
                if name not in found and known(sheet, name) and catalogue.comparable(rule):
                    found.append(name)
                    queue.append(name)
    return found


def _values_to_try(
    sheet: Sheet, names: list[str], value: float, catalogue: Catalogue
) -> dict[str, list[float]]:
    entries = {name: catalogue.settings[name] for name in names}
    marks = {value, *(sheet[name] for name in names if known(sheet, name))}
    for entry in entries.values():
        marks |= {entry.low, entry.high}
    n_between = _longest_strict_chain(names, catalogue)
    values = sorted(marks)
    for low, high in pairwise(sorted(marks)):
        values += _between(low, high, n_between, min(entry.step for entry in entries.values()))
    return {name: _nearest_first(values, entry, sheet.get(name, value)) for name, entry in entries.items()}


def _nearest_first(values: list[float], entry: Setting, here: float) -> list[float]:
    """Return the values that the setting accepts, small moves first."""
    accepted = {value for value in values if entry.low <= value <= entry.high}
    return sorted(accepted, key=lambda value: (abs(value - here), value))


def _longest_strict_chain(names: list[str], catalogue: Catalogue) -> int:
    """Return how many values may have to stand between two neighbours, each strictly above the one before."""
    depth = dict.fromkeys(names, 0)
    for name in catalogue.from_top:
        for rule in catalogue.rules_for(name) if name in depth else ():
            if rule.upper == name and rule.lower in depth:
                depth[rule.lower] = max(depth[rule.lower], depth[name] + rule.strict)
    return max(depth.values())


def _between(low: float, high: float, n_values: int, step: float) -> list[float]:
    """Return a few values strictly between two, whole steps where they fit."""
    step = step if low + step * n_values < high else (high - low) / (n_values + 1)
    return [low + step * (i + 1) for i in range(n_values)]
