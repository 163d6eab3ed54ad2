"""The settings of a chair: their catalogue, the rules between them, and the way to a wish that is blocked."""

from __future__ import annotations

from rampbook.domain.catalogue import CHAIR_SCALE, DEFAULT, STICK_SCALE, Catalogue, Rule, Scale, Setting
from rampbook.domain.rules import (
    Block,
    Unchecked,
    broken_rules,
    check_sheet,
    effective_value,
    unchecked_rules,
)
from rampbook.domain.steps import Step, steps_to, why_impossible

__all__ = [
    "CHAIR_SCALE",
    "DEFAULT",
    "STICK_SCALE",
    "Block",
    "Catalogue",
    "Rule",
    "Scale",
    "Setting",
    "Step",
    "Unchecked",
    "broken_rules",
    "check_sheet",
    "effective_value",
    "steps_to",
    "unchecked_rules",
    "why_impossible",
]
