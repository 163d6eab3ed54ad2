"""A search through the settings of a sheet for several wishes at once, or where the sheet already breaks a rule."""

from __future__ import annotations

from collections.abc import Mapping
from heapq import heappop, heappush
from itertools import count, pairwise

from rampbook.domain.catalogue import Catalogue, Setting
from rampbook.domain.rules import Sheet, check_sheet, kept, known, other_end

Move = tuple[str, float]
State = tuple[float | None, ...]
Span = tuple[float, float]
Edge = tuple[float, bool]  # a value, and whether it is itself left out


def searched_steps(sheet: Sheet, wishes: Mapping[str, float], catalogue: Catalogue) -> list[Move]:
    """Return the shortest list of moves after which every wish stands and keeps its rules; empty when there is none.

    Every move leaves the rules of the setting it touches kept. The rules only compare, so trying every value
    that stands on the sheet, every bound, and values between two of these is enough. States are taken up in
    the order of moves made plus moves that are still needed at least, which no real path can undercut.
    """
    names = tied(sheet, wishes, catalogue)
    if _out_of_reach(sheet, names, wishes, catalogue):
        return []
    tries = _values_to_try(sheet, names, wishes, catalogue)
    start = tuple(sheet[name] if known(sheet, name) else None for name in names)
    order = count()
    queue: list[tuple[int, int, int, State, tuple[Move, ...]]] = [(0, 0, next(order), start, ())]
    seen: dict[State, int] = {start: 0}
    while queue:
        _, _, _, state, moves = heappop(queue)
        here = _as_sheet(names, state)
        if _granted(here, wishes, catalogue):
            return [*moves]
        for i, name in enumerate(names):
            # What is not on the sheet blocks nothing, so it is set once, to what is wished.
            for wanted in tries[name] if state[i] is not None else [wishes[name]]:
                after = (*state[:i], wanted, *state[i + 1 :])
                n_moves = len(moves) + 1
                if seen.get(after, n_moves + 1) <= n_moves or check_sheet(here, name, wanted, catalogue):
                    continue
                seen[after] = n_moves
                needed = n_moves + _needed(_as_sheet(names, after), wishes, catalogue)
                heappush(queue, (needed, -n_moves, next(order), after, (*moves, (name, wanted))))
    return []


def tied(sheet: Sheet, wishes: Mapping[str, float], catalogue: Catalogue) -> list[str]:
    """Return the settings wished for and every known one that rules tie to them, directly or through others."""
    found, queue = [*wishes], [*wishes]
    while queue:
        for rule in catalogue.rules_for(queue.pop()):
            for name in (rule.lower, rule.upper):
                if name not in found and known(sheet, name) and catalogue.comparable(rule):
                    found.append(name)
                    queue.append(name)
    return found


def _out_of_reach(sheet: Sheet, names: list[str], wishes: Mapping[str, float], catalogue: Catalogue) -> bool:
    """Whether a wish cannot be had even where each setting may be wherever it could get to for itself.

    This spares a search through every state where the sheet is deadlocked; what it lets pass may still fail.
    """
    reach = {name: (sheet[name], sheet[name]) for name in names if known(sheet, name)}
    while grown := _further(reach, catalogue):
        reach |= grown
    return not all(_lies_in(value, _room(name, reach, catalogue)) for name, value in wishes.items())


def _further(reach: Mapping[str, Span], catalogue: Catalogue) -> dict[str, Span]:
    """Return the settings that can get further than known so far, with how far."""
    grown = {}
    for name, (low, high) in reach.items():
        (floor, _), (ceiling, _) = room = _room(name, reach, catalogue)
        if _is_room(room) and (floor < low or ceiling > high):
            grown[name] = (min(low, floor), max(high, ceiling))
    return grown


def _room(name: str, reach: Mapping[str, Span], catalogue: Catalogue) -> tuple[Edge, Edge]:
    """Return the lowest and the highest value that a setting may take, each with whether it is left out."""
    entry = catalogue.settings[name]
    floors, ceilings = [(entry.low, False)], [(entry.high, False)]
    for rule in catalogue.rules_for(name):
        other = other_end(rule, name)
        if other in reach and catalogue.comparable(rule):
            if rule.upper == name:
                floors.append((reach[other][0], rule.strict))
            else:
                ceilings.append((reach[other][1], rule.strict))
    return max(floors), min(ceilings, key=lambda edge: (edge[0], not edge[1]))


def _is_room(room: tuple[Edge, Edge]) -> bool:
    """Whether any value lies inside."""
    (floor, above), (ceiling, below) = room
    return floor < ceiling or (floor == ceiling and not above and not below)


def _lies_in(value: float, room: tuple[Edge, Edge]) -> bool:
    (floor, above), (ceiling, below) = room
    return (floor < value or (floor == value and not above)) and (value < ceiling or (value == ceiling and not below))


def _granted(here: Sheet, wishes: Mapping[str, float], catalogue: Catalogue) -> bool:
    """Whether every wish stands, and keeps its rules."""
    return all(
        here.get(name) == value and not check_sheet(here, name, value, catalogue)
        for name, value in wishes.items()
    )


def _needed(here: Sheet, wishes: Mapping[str, float], catalogue: Catalogue) -> int:
    """Return how many moves are needed at least: one for each wish that does not stand, and for each in its way."""
    in_the_way = {
        other
        for name, value in wishes.items()
        for rule in catalogue.rules_for(name)
        if (other := other_end(rule, name)) not in wishes
        and known(here, other)
        and catalogue.comparable(rule)
        and not kept(rule, name, value, here[other])
    }
    return len(in_the_way) + sum(here.get(name) != value for name, value in wishes.items())


def _as_sheet(names: list[str], state: State) -> dict[str, float]:
    return {name: v for name, v in zip(names, state, strict=True) if v is not None}


def _values_to_try(
    sheet: Sheet, names: list[str], wishes: Mapping[str, float], catalogue: Catalogue
) -> dict[str, list[float]]:
    entries = {name: catalogue.settings[name] for name in names}
    marks = {*wishes.values(), *(sheet[name] for name in names if known(sheet, name))}
    for entry in entries.values():
        marks |= {entry.low, entry.high}
    n_between = _longest_strict_chain(names, catalogue)
    values = sorted(marks)
    for low, high in pairwise(sorted(marks)):
        values += _between(low, high, n_between, min(entry.step for entry in entries.values()))
    return {name: _nearest_first(values, entry, sheet.get(name)) for name, entry in entries.items()}


def _nearest_first(values: list[float], entry: Setting, here: float | None) -> list[float]:
    """Return the values that the setting accepts, small moves first."""
    accepted = {value for value in values if entry.low <= value <= entry.high}
    near = entry.low if here is None else here
    return sorted(accepted, key=lambda value: (abs(value - near), value))


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
