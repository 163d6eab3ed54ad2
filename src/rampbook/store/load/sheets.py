"""The rules of the settings, for sheets and changes about to be loaded."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby

from rampbook.domain.settings import Block, Catalogue, Step, check_sheet, steps_to
from rampbook.store.catalogue import read_catalogue
from rampbook.store.load.bundles import refused_together
from rampbook.store.load.identify import GOOD
from rampbook.store.load.stage import TYPED, VERDICTS, Batch
from rampbook.store.sqlfiles import sql_text

_CLOSE = 1e-9
_AGAIN = "Correct the row and load the file again."


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Why a change cannot be taken up; ``blocks`` and ``steps`` are filled when a rule stands in the way."""

    column: str
    reason: str
    remedy: str = _AGAIN
    blocks: tuple[Block, ...] = ()
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """One value of a setting in the order of days; ``row`` is None for one that the store has already."""

    row: int | None
    athlete: str
    chair: str | None
    profile: int
    setting: str
    on: date
    change: str | None
    old_value: float | None
    value: float
    goes_back_to: str | None
    bundle: str | None


_FIELDS = (
    "row",
    "athlete",
    "chair",
    "profile",
    "setting",
    "on",
    "change",
    "old_value",
    "value",
    "goes_back_to",
    "bundle",
)


def check_settings(batch: Batch) -> None:
    """Set aside rows with a setting that the catalogue does not have, or a value outside its bounds."""
    value = {"settings": "value", "changes": "new_value"}.get(batch.spec.name)
    if value is None:
        return
    batch.run(
        f"insert into {VERDICTS} select t.row_number, 'setting', "
        "'setting is \"' || t.setting || '\": the catalogue has no such setting', "
        "'Correct the name, or add the setting with its bounds and meaning to the table catalogue; then load again.' "
        f"from {TYPED} as t anti join catalogue_now as c on t.setting = c.setting where {GOOD}"
    )
    batch.run(
        f"insert into {VERDICTS} select t.row_number, '{value}', "
        f"format('{value} is {{}}: {{}} must be from {{}} to {{}}', "
        f"{_number(f't.{value}')}, t.setting, {_number('c.low')}, {_number('c.high')}), "
        f"'{_AGAIN}' "
        f"from {TYPED} as t inner join catalogue_now as c on t.setting = c.setting "
        f"where t.{value} not between c.low and c.high and {GOOD}"
    )


def _number(sql: str) -> str:
    return f"regexp_replace({sql}::varchar, '\\.0$', '')"


def judge_changes(batch: Batch) -> dict[int, Refusal]:
    """Set aside changes that do not fit the sheet as it stood on their day, and fill in empty old values.

    Row by row in Python, unlike all else: each change is judged by the sheet that the changes before it left, and
    changes are few.

    Returns
    -------
    dict of int to Refusal
        By row number.
    """
    if batch.spec.name != "changes":
        return {}
    rows = batch.connection.execute(sql_text("load", "changes_timeline")).fetchall()
    values = [Value(**dict(zip(_FIELDS, row, strict=True))) for row in rows]
    undone = _changes_by_id(batch, values)
    catalogue = read_catalogue(batch.connection)
    refusals: dict[int, Refusal] = {}
    for _, group in groupby(values, key=lambda value: (value.athlete, value.chair)):
        refusals |= _judge_chair(list(group), catalogue, undone, batch)
    for row, refusal in refusals.items():
        batch.run(f"insert into {VERDICTS} values (?, ?, ?, ?)", row, refusal.column, refusal.reason, refusal.remedy)
    return refusals


def _changes_by_id(batch: Batch, values: Iterable[Value]) -> dict[str, Value]:
    """Return every change that another could go back to, in the store or in the sheet being loaded."""
    stored = batch.connection.execute(
        'select null, athlete, chair, profile, setting, "on", change, old_value, new_value, goes_back_to, bundle '
        "from changes"
    ).fetchall()
    everything = [Value(**dict(zip(_FIELDS, row, strict=True))) for row in stored] + [*values]
    return {value.change: value for value in everything if value.change is not None}


def _judge_chair(
    values: list[Value], catalogue: Catalogue, undone: dict[str, Value], batch: Batch
) -> dict[int, Refusal]:
    """Judge the new changes of one chair in the order of days.

    A new change between older ones can leave a later one, that the store has already, with the wrong old value.
    Then the new one is refused and the walk starts again without it. So it does when one of a bundle is refused:
    the others fall with it.
    """
    late: dict[int, Refusal] = {}
    while True:
        walk = _Walk(catalogue=catalogue, undone=undone, refusals=dict(late))
        culprit = walk.through(values) or _rest_of_bundles(values, walk.refusals)
        if not culprit:
            for row, old_value in walk.old_values.items():
                batch.run(f"update {TYPED} set old_value = ? where row_number = ?", old_value, row)
            return walk.refusals
        late |= culprit


def _rest_of_bundles(values: list[Value], refusals: dict[int, Refusal]) -> dict[int, Refusal]:
    """Return the refusals of new changes that are not refused themselves, but another of their bundle is."""
    bad: dict[str, int] = {}
    for value in values:
        if value.row in refusals and value.bundle is not None:
            bad[value.bundle] = min(value.row, bad.get(value.bundle, value.row))
    rest = {}
    for value in values:
        if value.row is not None and value.row not in refusals and value.bundle in bad:
            reason, remedy = refused_together(bad[value.bundle])
            rest[value.row] = Refusal(column="bundle", reason=reason, remedy=remedy)
    return rest


@dataclass(slots=True, kw_only=True)
class _Walk:
    """The sheet of one chair while its values go by in the order of days."""

    catalogue: Catalogue
    undone: dict[str, Value]
    refusals: dict[int, Refusal]
    old_values: dict[int, float] = field(default_factory=dict)
    sheet: dict[tuple[int, str], Value] = field(default_factory=dict)
    waited: dict[int, int] = field(default_factory=dict)

    def through(self, values: list[Value]) -> dict[int, Refusal] | None:
        """Let the values go by; return the new change that spoils an older one, or None."""
        queue = deque(values)
        while queue:
            value = queue.popleft()
            place = (value.profile, value.setting)
            if value.row is None:
                before = self.sheet.get(place)
                if before is not None and before.row is not None and _starts_elsewhere(value, before):
                    return {before.row: _spoils(value)}
            elif value.row in self.refusals:
                continue
            elif (refusal := self.judge(value)) is not None:
                if refusal.blocks and self._waits(value, queue):
                    continue
                self.refusals[value.row] = refusal
                continue
            self.sheet[place] = value
        return None

    def _waits(self, value: Value, queue: deque[Value]) -> bool:
        """Whether a blocked change can wait for others of its bundle, whose rows may stand in any order."""
        mates = [i for i, other in enumerate(queue) if value.bundle is not None and other.bundle == value.bundle]
        # Where no fewer are left than at its last turn, all of them wait for each other.
        if value.row is None or not mates or self.waited.get(value.row, len(queue) + 1) <= len(mates):
            return False
        self.waited[value.row] = len(mates)
        queue.insert(mates[-1] + 1, value)
        return True

    def judge(self, value: Value) -> Refusal | None:
        """Return why a new change does not fit, or None; an empty old value is filled in."""
        before = self.sheet.get((value.profile, value.setting))
        if before is None:
            return Refusal(
                column="setting",
                reason=f"the sheet of {_whose(value)} has no {value.setting} on {value.on}",
                remedy="Add the value it started from to settings and load again.",
            )
        if value.old_value is None and value.row is not None:
            self.old_values[value.row] = before.value
        elif _starts_elsewhere(value, before):
            return _wrong_old_value(value, before)
        if abs(value.value - before.value) <= _CLOSE:
            return Refusal(
                column="new_value",
                reason=f'new_value is "{value.value:g}": that is the value on the sheet already',
                remedy="Write the value it was changed to, or leave the row out.",
            )
        return self._wrong_return(value) or self._blocked(value)

    def _wrong_return(self, value: Value) -> Refusal | None:
        """Return why a change does not go back to what it says, or None."""
        if value.goes_back_to is None:
            return None
        first = self.undone.get(value.goes_back_to)
        if first is None:
            return Refusal(
                column="goes_back_to",
                reason=f'goes_back_to is "{value.goes_back_to}": there is no such change',
                remedy="Write the id of the change that was undone and load the file again.",
            )
        same = (first.athlete, first.chair, first.profile, first.setting)
        if same != (value.athlete, value.chair, value.profile, value.setting):
            return Refusal(
                column="goes_back_to",
                reason=f'goes_back_to is "{value.goes_back_to}": that change was of {first.setting}, profile '
                f"{first.profile} of {first.athlete}",
                remedy="Write the id of the change of this setting that was undone, or leave it empty.",
            )
        if first.old_value is not None and abs(first.old_value - value.value) > _CLOSE:
            return Refusal(
                column="new_value",
                reason=f'new_value is "{value.value:g}": going back to {value.goes_back_to} means its old value '
                f"{first.old_value:g}",
                remedy="Correct new_value, or leave goes_back_to empty.",
            )
        return None

    def _blocked(self, value: Value) -> Refusal | None:
        """Return the rules of the settings in the way of a change and the steps that would free it, or None."""
        sheet = {setting: entry.value for (profile, setting), entry in self.sheet.items() if profile == value.profile}
        blocks = check_sheet(sheet, value.setting, value.value, self.catalogue)
        if not blocks:
            return None
        steps = steps_to(sheet, value.setting, value.value, self.catalogue)
        rules = "; ".join(f"{block.rule}, and {block.setting} is {block.value:g}" for block in blocks)
        order = ", then ".join(f"{step.setting} to {step.value:g}" for step in steps)
        remedy = f"One change each, in this order: {order}." if steps else "Choose another value."
        return Refusal(
            column="new_value",
            reason=f'new_value is "{value.value:g}": {rules}',
            remedy=remedy,
            blocks=tuple(blocks),
            steps=tuple(steps),
        )


def _starts_elsewhere(value: Value, before: Value) -> bool:
    return value.old_value is not None and abs(value.old_value - before.value) > _CLOSE


def _whose(value: Value) -> str:
    chair = f"chair {value.chair}" if value.chair else "no chair named"
    return f"{value.athlete} ({chair}, profile {value.profile})"


def _wrong_old_value(value: Value, before: Value) -> Refusal:
    since = f"since change {before.change}" if before.change else "as read"
    return Refusal(
        column="old_value",
        reason=f'old_value is "{value.old_value:g}": on {value.on} the sheet of {_whose(value)} has {value.setting} at '
        f"{before.value:g}, {since} on {before.on}",
        remedy=f"Write old_value {before.value:g}, or load the missing change to {value.old_value:g} before it.",
    )


def _spoils(later: Value) -> Refusal:
    return Refusal(
        column="new_value",
        reason=f"the next change of this setting, {later.change} on {later.on}, starts from {later.old_value:g}",
        remedy=f"Load with it the change that brought it back to {later.old_value:g}, or correct that later change.",
    )
