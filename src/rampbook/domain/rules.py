"""Whether a setting may take a value, given the sheet it stands on."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from rampbook.domain.catalogue import DEFAULT, Catalogue, Rule
from rampbook.errors import EntryError

Sheet = Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One rule in the way: the setting it ties to, that one's value on the sheet, and the rule in words."""

    setting: str
    value: float
    rule: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unchecked:
    """One rule that could not be checked, and why; it does not block."""

    setting: str
    rule: str
    reason: str


def check_sheet(sheet: Sheet, setting: str, value: float, catalogue: Catalogue = DEFAULT) -> list[Block]:
    """Return everything that forbids setting ``setting`` to ``value``; nothing when it may be set.

    Parameters
    ----------
    sheet : mapping of str to float
        The values in force; what a club does not know is left out.
    setting : str
        The setting to be changed.
    value : float
        Its new value, in the setting's own scale.
    catalogue : Catalogue
        The settings and rules that apply.

    Returns
    -------
    list of Block
        The bound first, then the rules, in the catalogue's order. A rule whose other value is not on the
        sheet, or counts in another scale, does not block; see `unchecked_rules`.

    Raises
    ------
    EntryError
        When the setting is unknown, or the value is not a finite number.

    Examples
    --------
    >>> [b.rule for b in check_sheet({"reverse_speed_max": 40}, "forward_speed_max", 30)]
    ["reverse_speed_max can't be above forward_speed_max"]
    """
    blocks = _out_of_bounds(setting, value, catalogue)
    for rule in catalogue.rules_for(setting):
        other = other_end(rule, setting)
        if (
            known(sheet, other)
            and catalogue.comparable(rule)
            and not kept(rule, setting, value, sheet[other])
        ):
            blocks.append(Block(setting=other, value=sheet[other], rule=rule.text))
    return blocks


def unchecked_rules(sheet: Sheet, setting: str, catalogue: Catalogue = DEFAULT) -> list[Unchecked]:
    """Return the rules of a setting that the sheet cannot answer, each with the reason."""
    found = []
    for rule in catalogue.rules_for(setting):
        other = other_end(rule, setting)
        if not catalogue.comparable(rule):
            reason = f"{setting} and {other} count in different scales, so they are not compared"
        elif not known(sheet, other):
            reason = f"{other} is not on the sheet"
        else:
            continue
        found.append(Unchecked(setting=other, rule=rule.text, reason=reason))
    return found


def broken_rules(sheet: Sheet, catalogue: Catalogue = DEFAULT) -> list[Rule]:
    """Return the rules that two known values of one sheet break."""
    return [
        rule
        for rule in catalogue.rules
        if known(sheet, rule.lower)
        and known(sheet, rule.upper)
        and catalogue.comparable(rule)
        and not rule.holds(sheet[rule.lower], sheet[rule.upper])
    ]


def effective_value(minimum: float, maximum: float, dial_percent: float) -> float:
    """Return the value in force at a position of the speed dial, linear from minimum (0%) to maximum (100%).

    Raises
    ------
    EntryError
        When the dial is not between 0 and 100, or the maximum is below the minimum.

    Examples
    --------
    >>> effective_value(10, 20, 50)
    15.0
    """
    if not 0 <= dial_percent <= 100:
        raise EntryError(
            f"The speed dial is {dial_percent:g}%: it must be from 0 to 100. Correct it.",
            field="dial_percent",
            value=dial_percent,
        )
    if not minimum <= maximum:
        raise EntryError(
            f"The maximum {maximum:g} is below the minimum {minimum:g}. Correct one of them.",
            field="value",
            value=maximum,
        )
    # Weighted, so that both ends come out exactly; held between them against rounding.
    share = dial_percent / 100
    return min(max(minimum * (1 - share) + maximum * share, minimum), maximum)


def known(sheet: Sheet, setting: str) -> bool:
    """Whether the sheet holds a usable number for a setting."""
    value = sheet.get(setting)
    return value is not None and math.isfinite(value)


def other_end(rule: Rule, setting: str) -> str:
    """Return the other setting of a rule."""
    return rule.upper if setting == rule.lower else rule.lower


def kept(rule: Rule, setting: str, value: float, other_value: float) -> bool:
    """Whether a rule is kept with ``setting`` at ``value`` and its other setting at ``other_value``."""
    return rule.holds(value, other_value) if setting == rule.lower else rule.holds(other_value, value)


def _out_of_bounds(setting: str, value: float, catalogue: Catalogue) -> list[Block]:
    known_setting = catalogue.find(setting)
    if not math.isfinite(value):
        raise EntryError(
            f"{setting} is {value}: it must be a number. Nothing was changed.", field="value", value=value
        )
    if known_setting.low <= value <= known_setting.high:
        return []
    text = f"{setting} must be from {known_setting.low:g} to {known_setting.high:g}"
    return [Block(setting=setting, value=value, rule=text)]
