"""The shortest order of single-setting steps that reaches a wish without breaking a rule on the way."""

from __future__ import annotations

from dataclasses import dataclass

from rampbook.domain.catalogue import DEFAULT, Catalogue
from rampbook.domain.rules import Sheet, broken_rules, check_sheet, known
from rampbook.domain.search import searched_steps

Limit = tuple[
    float, int
]  # a value, and how often one must stay short of it: (10, 0) is "10", (10, 1) "below 10"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One change of one setting: what it is on the sheet before the step (None: not known) and after."""

    setting: str
    value: float
    old_value: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Side:
    """One of the two ways in which a wish pushes at its neighbours.

    With ``sign`` 1 the wish pushes down what must stay below it; with -1 everything is mirrored, so that the
    same words ("below", "lowest") serve what must stay above it.
    """

    sheet: Sheet
    catalogue: Catalogue
    sign: int

    def below(self, name: str) -> list[tuple[str, bool]]:
        """Return the known settings that may not pass ``name``, each with whether they may not equal it."""
        pairs = []
        for rule in self.catalogue.rules_for(name):
            mine, other = (rule.upper, rule.lower) if self.sign == 1 else (rule.lower, rule.upper)
            if mine == name and known(self.sheet, other) and self.catalogue.comparable(rule):
                pairs.append((other, rule.strict))
        return pairs

    def now(self, name: str) -> float:
        return self.sign * self.sheet[name]

    def lowest(self, name: str) -> float:
        setting = self.catalogue.settings[name]
        return setting.low if self.sign == 1 else -setting.high

    def highest(self, name: str) -> float:
        setting = self.catalogue.settings[name]
        return setting.high if self.sign == 1 else -setting.low

    def from_top(self) -> tuple[str, ...]:
        return self.catalogue.from_top if self.sign == 1 else self.catalogue.from_top[::-1]


def steps_to(sheet: Sheet, setting: str, value: float, catalogue: Catalogue = DEFAULT) -> list[Step]:
    """Return the shortest order of steps that ends with ``setting`` at ``value``, no rule broken at any step.

    Parameters
    ----------
    sheet : mapping of str to float
        The values in force; what a club does not know is left out.
    setting : str
        The setting that is wished for.
    value : float
        The value that is wished for.
    catalogue : Catalogue
        The settings and rules that apply.

    Returns
    -------
    list of Step
        The last step is the wish itself; empty when it cannot be reached, see `why_impossible`. Each setting
        in the way is moved as little as its own step allows.

    Raises
    ------
    EntryError
        When the setting is unknown, or the value is not a finite number.

    Notes
    -----
    Where the sheet keeps its own rules, every setting that must move needs exactly one move, those furthest
    from the wish first; nothing shorter exists. A sheet that already breaks a rule is searched breadth first.

    Examples
    --------
    >>> steps = steps_to({"forward_speed_max": 80, "reverse_speed_max": 60}, "forward_speed_max", 50)
    >>> [(step.setting, step.value) for step in steps]
    [('reverse_speed_max', 50), ('forward_speed_max', 50)]
    """
    if not check_sheet(sheet, setting, value, catalogue):
        return [Step(setting=setting, value=value, old_value=sheet.get(setting))]
    if not _within_bounds(setting, value, catalogue):
        return []
    moves: list[tuple[str, float]] = []
    for sign in (1, -1):
        side = _Side(sheet=sheet, catalogue=catalogue, sign=sign)
        limits = _limits(side, setting, sign * value)
        if _stuck(side, limits, setting):
            return []
        moves += _moves(side, limits, setting, sign * value)
    wish = (setting, value)
    if broken_rules(sheet, catalogue):
        moves = searched_steps(sheet, dict([wish]), catalogue)
        return as_steps(sheet, moves if not moves or moves[-1] == wish else [*moves, wish])
    return as_steps(sheet, [*moves, wish])


def why_impossible(sheet: Sheet, setting: str, value: float, catalogue: Catalogue = DEFAULT) -> str | None:
    """Return why no order of steps reaches a wish, in words; None when one does."""
    if steps_to(sheet, setting, value, catalogue):
        return None
    if not _within_bounds(setting, value, catalogue):
        return check_sheet(sheet, setting, value, catalogue)[0].rule
    for sign, word in ((1, "below its smallest value"), (-1, "above its largest value")):
        side = _Side(sheet=sheet, catalogue=catalogue, sign=sign)
        stuck = _stuck(side, _limits(side, setting, sign * value), setting)
        if stuck:
            return f"{stuck} would have to go {word}, {sign * side.lowest(stuck):g}"
    broken = "; ".join(rule.text for rule in broken_rules(sheet, catalogue))
    return f"the sheet itself breaks a rule ({broken}) and no single step mends it; check the sheet first"


def _within_bounds(setting: str, value: float, catalogue: Catalogue) -> bool:
    entry = catalogue.find(setting)
    return entry.low <= value <= entry.high


def _limits(side: _Side, setting: str, value: float) -> dict[str, Limit]:
    """Return how far each setting that must move may stay up at most; the wish itself is among them."""
    allowed: dict[str, Limit] = {setting: (value, 0)}
    must_move: dict[str, Limit] = {}
    for name in side.from_top():
        if name not in allowed:
            continue
        limit = min(allowed[name], (side.highest(name), 0), key=tightness)
        if name != setting and not beyond(side.now(name), limit):
            continue
        must_move[name] = limit
        for other, strict in side.below(name):
            pushed = (limit[0], limit[1] + strict)
            allowed[other] = min(allowed.get(other, pushed), pushed, key=tightness)
    return must_move


def tightness(limit: Limit) -> tuple[float, int]:
    """Return what sorts limits, the tightest first."""
    return limit[0], -limit[1]


def beyond(value: float, limit: Limit) -> bool:
    """Whether a value does not stay short enough of a limit."""
    return value > limit[0] or (value == limit[0] and limit[1] > 0)


def _stuck(side: _Side, limits: dict[str, Limit], setting: str) -> str | None:
    """Return a setting that would have to leave its own bounds, if there is one."""
    return next((n for n, limit in limits.items() if n != setting and beyond(side.lowest(n), limit)), None)


def _moves(side: _Side, limits: dict[str, Limit], setting: str, value: float) -> list[tuple[str, float]]:
    """Return the value each setting moves to, the one furthest from the wish first."""
    floors = _floors(side, limits)
    placed = {setting: value}
    for name in list(limits)[1:]:
        ceilings = [
            (placed[upper], int(strict))
            for upper in placed
            for other, strict in side.below(upper)
            if other == name
        ]
        ceiling = min([*ceilings, (side.highest(name), 0)], key=tightness)
        placed[name] = _just_within(floors[name], ceiling, side.catalogue.settings[name].step)
    return [(name, side.sign * placed[name]) for name in list(limits)[:0:-1]]


def _floors(side: _Side, limits: dict[str, Limit]) -> dict[str, Limit]:
    """Return how low each moving setting may go at most, given what stays and what moves below it."""
    floors: dict[str, Limit] = {}
    for name in reversed(list(limits)):
        floor: Limit = (side.lowest(name), 0)
        for other, strict in side.below(name):
            under = floors.get(other, (side.now(other), 0))
            floor = max(floor, (under[0], under[1] + strict))
        floors[name] = floor
    return floors


def _just_within(floor: Limit, ceiling: Limit, step: float) -> float:
    """Return the highest usual value under the ceiling, or one between when a whole step would go too far."""
    if not ceiling[1]:
        return ceiling[0]
    wanted = ceiling[0] - step
    if wanted > floor[0] or (wanted == floor[0] and not floor[1]):
        return wanted
    return floor[0] if not floor[1] else (floor[0] + ceiling[0]) / 2


def as_steps(sheet: Sheet, moves: list[tuple[str, float]]) -> list[Step]:
    """Attach to each move the value that it replaces."""
    values = dict(sheet)
    steps = []
    for name, value in moves:
        steps.append(Step(setting=name, value=value, old_value=values.get(name)))
        values[name] = value
    return steps
