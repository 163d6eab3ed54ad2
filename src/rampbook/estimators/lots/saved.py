"""Sets of lots out of the plain numbers that a plan wrote down."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from rampbook.errors import DesignError
from rampbook.estimators.lots.blocks import Blocks
from rampbook.estimators.lots.free_order import FreeOrder
from rampbook.estimators.lots.given_orders import GivenOrders
from rampbook.estimators.lots.lot_set import Lots
from rampbook.estimators.lots.moments import Moments
from rampbook.estimators.lots.sign_flips import SignFlips
from rampbook.estimators.lots.staggered import StaggeredStarts

KINDS: dict[str, type[Lots]] = {
    one.kind: one for one in (Moments, Blocks, FreeOrder, StaggeredStarts, SignFlips, GivenOrders)
}


def lots_from_dict(written: Mapping[str, Any]) -> Lots:
    """Give the set that ``Lots.to_dict`` wrote down.

    Raises
    ------
    DesignError
        If the kind is not known, a number is missing or too many, or the numbers make no set.
    """
    kind = KINDS.get(str(written.get("kind")))
    if kind is None:
        raise DesignError(f"the kind of lots is {written.get('kind')!r}: it must be one of {', '.join(KINDS)}")
    parts = {name: _frozen(value) for name, value in written.items() if name != "kind"}
    known = {part.name for part in fields(kind)}  # type: ignore[arg-type]
    if set(parts) != known:
        raise DesignError(f"lots of kind {kind.kind!r} need {', '.join(sorted(known))}; given are {', '.join(parts)}")
    return kind(**parts)


def _frozen(value: Any) -> Any:
    return tuple(_frozen(one) for one in value) if isinstance(value, list | tuple) else value
