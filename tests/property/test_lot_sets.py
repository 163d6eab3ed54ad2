"""Claims about the sets of possible lots that hold whatever the plan is."""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import groupby, pairwise, permutations, product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.estimators.lots import (
    Blocks,
    FreeOrder,
    GivenOrders,
    Lots,
    Moments,
    SignFlips,
    StaggeredStarts,
    lots_from_dict,
)

MOST = 3000
Order = tuple[int, ...]

moments = st.builds(
    lambda shortest, spare, first: Moments(practices=sum(shortest) + spare, shortest=tuple(shortest), first=first),
    st.lists(st.integers(1, 3), min_size=2, max_size=4),
    st.integers(0, 5),
    st.integers(0, 1),
)
blocks = st.builds(Blocks, blocks=st.integers(1, 4), size=st.sampled_from([2, 4]))
free_orders = st.builds(
    lambda old, new, spare: FreeOrder(old=old, new=new, longest_run=spare and max(old, new) // min(old, new) + spare),
    st.integers(1, 6),
    st.integers(1, 6),
    st.none() | st.integers(1, 3),
)
sign_flips = st.builds(SignFlips, pairs=st.integers(1, 9))
staggered = st.one_of(
    st.lists(st.integers(1, 6), min_size=2, max_size=5, unique=True).flatmap(
        lambda starts: st.integers(1, min(3, len(starts))).map(
            lambda athletes: StaggeredStarts(practices=tuple(range(7, 7 + athletes)), starts=tuple(starts))
        )
    ),
    st.lists(st.integers(1, 3), min_size=1, max_size=4).map(
        lambda starts: StaggeredStarts(practices=(4,) * len(starts), starts=tuple(starts))
    ),
)
rows = st.lists(st.integers(0, 1), min_size=5, max_size=5).filter(lambda row: 0 < sum(row) < 5).map(tuple)
given_orders = st.builds(GivenOrders, orders=st.lists(rows, min_size=1, max_size=6, unique=True).map(tuple))

all_kinds = st.one_of(moments, blocks, free_orders, sign_flips, staggered, given_orders).filter(
    lambda lots: lots.count() <= MOST
)


def as_set(orders: np.ndarray) -> set[Order]:
    return {tuple(int(setting) for setting in order) for order in orders}


@given(all_kinds)
def test_as_many_orders_as_counted_and_each_once(lots: Lots) -> None:
    orders = lots.every_order()
    assert orders.shape == (lots.count(), lots.n)
    assert len(as_set(orders)) == lots.count()


@given(all_kinds, st.integers(0, 2**32 - 1))
def test_what_is_drawn_is_one_of_them(lots: Lots, seed: int) -> None:
    drawn = lots.draw(np.random.default_rng(seed), 20)
    assert drawn.shape == (20, lots.n)
    assert as_set(drawn) <= as_set(lots.every_order())


@given(all_kinds, st.data())
def test_it_holds_its_own_orders_and_no_others(lots: Lots, data: st.DataObject) -> None:
    everything = as_set(lots.every_order())
    order = data.draw(st.lists(st.integers(0, 1), min_size=lots.n, max_size=lots.n).map(tuple))
    assert lots.holds(np.array(order)) == (order in everything)
    assert all(lots.holds(np.array(own)) for own in sorted(everything)[:50])
    assert not lots.holds(np.array([*order, 1]))


@given(all_kinds)
def test_the_set_comes_back_from_what_was_written_down(lots: Lots) -> None:
    assert lots_from_dict(json.loads(json.dumps(lots.to_dict()))) == lots


@given(all_kinds, st.integers(0, 2**32 - 1))
def test_sums_are_those_of_the_written_out_orders(lots: Lots, seed: int) -> None:
    columns = np.random.default_rng(seed).normal(size=(lots.n, 2))
    np.testing.assert_allclose(lots.sums(columns), lots.every_order() @ columns, atol=1e-12)


def filtered(n: int, is_lot: Callable[[Order], bool]) -> set[Order]:
    return {order for order in product((0, 1), repeat=n) if is_lot(order)}


def runs(order: Order) -> list[tuple[int, int]]:
    return [(setting, len(list(run))) for setting, run in groupby(order)]


@given(moments.filter(lambda lots: lots.practices <= 12))
@settings(max_examples=30, deadline=None)
def test_moments_are_all_orders_with_such_phases(lots: Moments) -> None:
    def is_lot(order: Order) -> bool:
        phases = runs(order)
        return (
            phases[0][0] == lots.first
            and len(phases) == len(lots.shortest)
            and all(length >= least for (_, length), least in zip(phases, lots.shortest, strict=True))
        )

    assert as_set(lots.every_order()) == filtered(lots.n, is_lot)


@given(blocks.filter(lambda lots: lots.n <= 12))
@settings(max_examples=20, deadline=None)
def test_blocks_are_all_orders_with_balanced_blocks(lots: Blocks) -> None:
    def is_lot(order: Order) -> bool:
        cuts = pairwise(range(0, lots.n + 1, lots.size))
        return all(2 * sum(order[start:end]) == lots.size for start, end in cuts)

    assert as_set(lots.every_order()) == filtered(lots.n, is_lot)


@given(free_orders)
@settings(max_examples=40, deadline=None)
def test_free_orders_are_all_orders_without_long_runs(lots: FreeOrder) -> None:
    def is_lot(order: Order) -> bool:
        longest = max(length for _, length in runs(order))
        return sum(order) == lots.new and (lots.longest_run is None or longest <= lots.longest_run)

    assert as_set(lots.every_order()) == filtered(lots.n, is_lot)


@given(staggered)
def test_staggered_starts_are_all_ways_to_give_them_out(lots: StaggeredStarts) -> None:
    ways = set(permutations(lots.starts, len(lots.practices)))
    orders = {
        tuple(int(t >= start) for n, start in zip(lots.practices, way, strict=True) for t in range(n)) for way in ways
    }
    assert as_set(lots.every_order()) == orders
