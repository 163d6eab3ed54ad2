"""What differs between two sheets: two days, two profiles, or two chairs whose numbers are on one scale."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from rampbook.domain.throw import THROW_DEFINITIONS, USUAL


@dataclass(frozen=True, slots=True, kw_only=True)
class Stood:
    """One value of a sheet for as long as it stood.

    Attributes
    ----------
    chair : str or None
        Code of the chair; None when the record does not name one.
    profile : int
        Number of the drive profile.
    setting : str
        Name of the setting.
    value : float
        The value, on the chair's own scale.
    since : date
        The day from which it stood.
    change : str or None
        The change that set it; None when it was read from the chair.
    place : int
        Its place among the values of the same setting of the same chair and profile, in order of time.
    """

    chair: str | None
    profile: int
    setting: str
    value: float
    since: date
    change: str | None
    place: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One setting on two sheets; a side is None when that sheet does not hold it.

    ``between`` are the values that came after the left one up to the right one, or, when the sheets are not two
    days of one sheet, the two values themselves.
    """

    setting: str
    left: Stood | None
    right: Stood | None
    between: tuple[Stood, ...]

    @property
    def is_same(self) -> bool:
        """Whether both sheets hold the same value."""
        return self.left is not None and self.right is not None and self.left.value == self.right.value

    @property
    def there_and_back(self) -> bool:
        """Whether the value is the same, but was another one in between."""
        return self.is_same and any(stood.value != self.left.value for stood in self.between if self.left)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChairScale:
    """The scale that the numbers of a chair are on; None where the record does not say."""

    chair: str | None
    scale: str | None = None
    definition: str | None = None
    throw: str | None = None


def days_apart(left: Iterable[Stood], right: Iterable[Stood], every: Iterable[Stood]) -> list[Difference]:
    """Return one row for each setting of a sheet on two days, with what happened to it in between.

    Parameters
    ----------
    left, right : iterable of Stood
        The sheet on the earlier and on the later day.
    every : iterable of Stood
        Every value that stood at some time between them; more than that does no harm.

    Examples
    --------
    >>> from datetime import date
    >>> def stood(value, day, place, change=None):
    ...     return Stood(chair="C1", profile=1, setting="deadband", value=value, since=date(2026, 1, day),
    ...                  change=change, place=place)
    >>> first, second = stood(8, 1, 1), stood(10, 9, 2, "CH1")
    >>> [(d.left.value, d.right.value, d.between[0].change) for d in days_apart([first], [second], [first, second])]
    [(8, 10, 'CH1')]
    """
    histories: dict[Hashable, list[Stood]] = {}
    for stood in every:
        histories.setdefault(_whose(stood), []).append(stood)

    def between(first: Stood | None, last: Stood | None) -> tuple[Stood, ...]:
        if last is None:
            return ()
        start = 0 if first is None else first.place
        return tuple(s for s in histories.get(_whose(last), ()) if start < s.place <= last.place)

    return _beside(left, right, key=_whose, between=between)


def sheets_apart(
    left: Iterable[Stood], right: Iterable[Stood], *, key: Callable[[Stood], Hashable]
) -> list[Difference]:
    """Return one row for each setting of two sheets, with what set each of the two values.

    ``key`` says which values belong beside each other: for two profiles of a chair, those of the same setting.
    """

    def between(first: Stood | None, last: Stood | None) -> tuple[Stood, ...]:
        return tuple(stood for stood in (first, last) if stood is not None)

    return _beside(left, right, key=key, between=between)


def not_comparable(left: ChairScale, right: ChairScale) -> str | None:
    """Return in words why the numbers of two chairs may not be compared; None when they may.

    They may when both scales are written down under one id, and their definitions do not disagree.
    """
    if left.chair == right.chair:
        return None
    unknown = [side.chair or "the chair without a code" for side in (left, right) if not side.scale]
    if unknown:
        return f"the scale of {' and of '.join(unknown)} is not written down"
    if left.scale != right.scale:
        return (
            f"{left.chair} counts on the scale {left.scale}, and {right.chair} on {right.scale}: "
            "the same number does not mean the same"
        )
    if left.definition and right.definition and _plain(left.definition) != _plain(right.definition):
        return (
            f"both scales are called {left.scale}, but {left.chair} says it means "
            f'"{left.definition}" and {right.chair} "{right.definition}"'
        )
    return None


def throw_not_comparable(left: ChairScale, right: ChairScale) -> str | None:
    """Return in words why throw may not be compared although the rest may; None when it may.

    A throw number can be written in two ways (see `rampbook.domain.throw`). Where the record does not say which,
    the usual one is taken.
    """
    meanings = [THROW_DEFINITIONS.get(side.throw or "", USUAL) for side in (left, right)]
    if meanings[0] == meanings[1]:
        return None
    said = (f"on {side.chair or 'the chair without a code'} a number says {meaning.words}"
            for side, meaning in zip((left, right), meanings, strict=True))  # fmt: skip
    return f"Throw is not compared: {'. And '.join(said)}."


def _whose(stood: Stood) -> Hashable:
    return stood.chair, stood.profile, stood.setting


def _plain(definition: str) -> str:
    return " ".join(definition.split()).casefold()


def _beside(
    left: Iterable[Stood],
    right: Iterable[Stood],
    *,
    key: Callable[[Stood], Hashable],
    between: Callable[[Stood | None, Stood | None], Sequence[Stood]],
) -> list[Difference]:
    """Put the values of two sheets beside each other, in the order in which the sheets list them."""
    lefts, rights = {key(stood): stood for stood in left}, {key(stood): stood for stood in right}
    rows = []
    for name in dict.fromkeys([*lefts, *rights]):
        pair = lefts.get(name), rights.get(name)
        setting = next(stood.setting for stood in pair if stood is not None)
        rows.append(Difference(setting=setting, left=pair[0], right=pair[1], between=tuple(between(*pair))))
    return rows
