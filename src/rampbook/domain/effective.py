"""What one step does to the chair at the dial position practised at: a plain model, to be measured on the chair."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from rampbook.domain.catalogue import DEFAULT, Catalogue
from rampbook.domain.response import gain
from rampbook.domain.rules import Sheet, effective_value, known
from rampbook.domain.steps import Step
from rampbook.domain.throw import USUAL, ThrowDefinition, throw_share

# Of the distance between old and new value: no more than this and the chair drives as before.
SAME_SHARE: Final = 0.05
MOST_PRACTICES: Final = 5
_ENDS = (0.0, 100.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """Where the speed dial stood in the last practices: the middle one, the lowest and highest, and which practices.

    ``named`` is whether those practices name the profile asked about; else they name none.
    """

    percent: float
    low: float
    high: float
    practices: tuple[str, ...]
    first_on: date
    last_on: date
    named: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class At:
    """A quantity before and after a step at one dial position (None: the dial does not matter).

    ``before`` and ``after`` are None where the sheet lacks the other end of the range; the ``change`` may be known
    all the same.
    """

    dial_percent: float | None
    before: float | None
    after: float | None
    change: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Felt:
    """What a step changes for the chair.

    ``changes`` is False for housekeeping, and None where it cannot be said: the dial is not known and matters, or
    there is no model of the setting.
    """

    quantity: str
    unit: str
    changes: bool | None
    at: tuple[At, ...]


def dial_of(practices: Sequence[Mapping[str, Any]]) -> Dial | None:
    """Return where the dial stood in the last practices, or None where no practice says.

    Parameters
    ----------
    practices : sequence of mapping
        practice, on, dial_percent, and named (whether the profile asked about is named in it), the latest first.
        Where any names the profile, only those count.
    """
    named = [row for row in practices if row["named"]]
    rows = (named or list(practices))[:MOST_PRACTICES]
    if not rows:
        return None
    percents = [row["dial_percent"] for row in rows]
    return Dial(
        percent=_middle(percents),
        low=min(percents),
        high=max(percents),
        practices=tuple(row["practice"] for row in reversed(rows)),
        first_on=rows[-1]["on"],
        last_on=rows[0]["on"],
        named=bool(named),
    )


def _middle(values: Sequence[float]) -> float:
    # By hand: the statistics module takes longer to load than a sheet to read.
    ranked, half = sorted(values), len(values) // 2
    return ranked[half] if len(ranked) % 2 else (ranked[half - 1] + ranked[half]) / 2


def felt(
    sheet: Sheet,
    step: Step,
    dial: Dial | None,
    catalogue: Catalogue = DEFAULT,
    *,
    throw: ThrowDefinition = USUAL,
) -> Felt:
    """Return what a step changes for the chair, on the sheet as it stands before the step.

    A maximum and a minimum are the two ends of one range: at a dial position the value in force lies between them,
    in proportion (common practice, no source). Throw and deadband set the gain, command over travel, whatever the
    dial; ``throw`` is what a throw number of the chair means. Of a setting that a club adds nothing is known.

    Examples
    --------
    >>> step = Step(setting="turn_speed_max", value=60, old_value=80)
    >>> felt({"turn_speed_max": 80, "turn_speed_min": 20}, step, None).at[1].change
    -20.0
    """
    stem, _, end = step.setting.rpartition("_")
    if end in ("max", "min") and {f"{stem}_max", f"{stem}_min"} <= catalogue.settings.keys():
        return _of_range(sheet, step, stem, end, dial)
    if step.setting == "deadband" or step.setting.startswith("throw_"):
        return _of_stick(sheet, step, catalogue, throw)
    return Felt(quantity=step.setting.replace("_", " "), unit="", changes=None, at=())


def _of_range(sheet: Sheet, step: Step, stem: str, end: str, dial: Dial | None) -> Felt:
    percents = _ENDS if dial is None else tuple(dict.fromkeys((dial.low, dial.percent, dial.high)))
    at = tuple(_at(sheet, step, stem, end, percent) for percent in percents)
    shares = {percent / 100 if end == "max" else 1 - percent / 100 for percent in percents}
    moved = {share > SAME_SHARE and step.value != step.old_value for share in shares}
    sure = len(moved) == 1 or dial is not None
    return Felt(quantity=stem.replace("_", " "), unit="", changes=any(moved) if sure else None, at=at)


def _at(sheet: Sheet, step: Step, stem: str, end: str, percent: float) -> At:
    share = percent / 100 if end == "max" else 1 - percent / 100
    # The other end stays, so the change is known even where the other end is not.
    change = None if step.old_value is None else (step.value - step.old_value) * share
    partner = f"{stem}_{'min' if end == 'max' else 'max'}"
    other = sheet[partner] if known(sheet, partner) else None
    before, after = (_in_force(value, other, end, percent) for value in (step.old_value, step.value))
    if before is not None and after is not None:
        change = after - before
    return At(dial_percent=percent, before=before, after=after, change=change)


def _in_force(value: float | None, other: float | None, end: str, percent: float) -> float | None:
    """Return the value in force, or None where an end is not known or the two ends are crossed."""
    at_end = 100.0 if end == "max" else 0.0
    if value is None or (other is None and percent != at_end):
        return None
    if other is None:
        return value
    low, high = (other, value) if end == "max" else (value, other)
    return effective_value(low, high, percent) if low <= high else None


def _of_stick(sheet: Sheet, step: Step, catalogue: Catalogue, definition: ThrowDefinition) -> Felt:
    """Return the gain before and after, of the throw that is changed or, for the deadband, the steepest known."""
    after = {**sheet, step.setting: step.value}
    throws = [name for name in catalogue.settings if name.startswith("throw_") and known(sheet, name)]
    throw = step.setting
    if throw == "deadband":
        # The steepest answers most to a wider deadband.
        throw = max(throws, key=lambda name: _gain(sheet, name, definition) or 0.0, default="")
    old, new = _gain(sheet, throw, definition), _gain(after, throw, definition)
    change = None if old is None or new is None else new - old
    way = throw.removeprefix("throw_")
    return Felt(
        quantity=f"gain {way} near the centre" if way else "gain near the centre",
        unit="% of command per % of travel",
        changes=step.value != step.old_value,
        at=(At(dial_percent=None, before=old, after=new, change=change),),
    )


def _gain(sheet: Sheet, throw: str, definition: ThrowDefinition) -> float | None:
    """Return command over travel outside the deadband, or None where the two numbers are not known or cannot be."""
    if not (known(sheet, throw) and known(sheet, "deadband")) or sheet[throw] <= 0 or not 0 <= sheet["deadband"] < 100:
        return None
    deadband = sheet["deadband"] / 100
    share = throw_share(sheet[throw], definition=definition, deadband=deadband)
    return gain(deadband=deadband, throw=share) if deadband < share else None
