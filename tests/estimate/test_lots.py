"""The test by lot against its definition, done the long way, and what it says when it cannot answer."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from rampbook.errors import DesignError
from rampbook.estimators.lots import (
    Blocks,
    FreeOrder,
    GivenOrders,
    Lots,
    LotTest,
    Moments,
    SignFlips,
    StaggeredStarts,
    lots_from_dict,
    random_start,
    randomisation_test,
    sign_flip_test,
)
from rampbook.estimators.lots.packed import pack, packed_sums, unpack
from rampbook.estimators.lots.packed_draw import ways_to_share
from rampbook.estimators.usual_fits import Tabled, usual_fits

Floats = NDArray[np.float64]

SETS: dict[str, Lots] = {
    "random start": random_start(26, before=4, after=3),
    "two moments": Moments(practices=16, shortest=(3, 2, 4)),
    "blocks of two": Blocks(blocks=6),
    "blocks of four": Blocks(blocks=3, size=4),
    "free": FreeOrder(old=4, new=5),
    "short runs": FreeOrder(old=5, new=5, longest_run=2),
    "staggered": StaggeredStarts(practices=(12, 10, 11), starts=(3, 5, 7, 8)),
    "allotted": StaggeredStarts(practices=(9, 9, 9, 9), starts=(2, 4, 4, 6)),
    "listed": GivenOrders(orders=tuple(tuple(int(place >= cut) for place in range(20)) for cut in range(4, 18))),
}
each_set = pytest.mark.parametrize("lots", list(SETS.values()), ids=list(SETS))
either_way = pytest.mark.parametrize("trend", [False, True], ids=["plain", "trend"])


def one_of(lots: Lots, seed: int) -> tuple[Floats, NDArray[np.int64]]:
    """Values that drift and follow one another, and an order that the lot could have given."""
    draws = np.random.default_rng(seed)
    phase = lots.draw(draws, 1)[0].astype(np.int64)
    values = 0.5 * np.cumsum(draws.normal(size=lots.n)) + draws.normal(size=lots.n) + draws.normal() * phase
    return values, phase


def athletes(lots: Lots) -> list[slice]:
    ends = np.cumsum(lots.lengths)
    return [slice(int(end) - n, int(end)) for end, n in zip(ends, lots.lengths, strict=True)]


def difference(values: Floats, order: NDArray[Any], lots: Lots) -> float:
    """The statistic by its definition: the mean over athletes of new mean minus old mean."""
    own = [(values[rows], order[rows]) for rows in athletes(lots)]
    return float(np.mean([value[part == 1].mean() - value[part == 0].mean() for value, part in own]))


def beside_line(values: Floats, order: NDArray[Any], lots: Lots) -> float:
    """The signed square root of what the change takes off the sum of squares, by two least-squares fits."""
    lines = np.zeros((lots.n, 2 * len(lots.lengths)))
    for athlete, rows in enumerate(athletes(lots)):
        lines[rows, 2 * athlete] = 1
        lines[rows, 2 * athlete + 1] = np.arange(lots.lengths[athlete])
    both = np.column_stack([lines, order])
    without, within = (np.linalg.lstsq(table, values, rcond=None)[0] for table in (lines, both))
    off = np.sum((values - lines @ without) ** 2) - np.sum((values - both @ within) ** 2)
    return float(np.sign(within[-1]) * math.sqrt(max(off, 0)))


@each_set
@either_way
@pytest.mark.parametrize("seed", [1, 2])
def test_p_by_its_definition(lots: Lots, trend: bool, seed: int) -> None:
    values, phase = one_of(lots, seed)
    by_definition = beside_line if trend else difference
    observed = by_definition(values, phase, lots)
    others = np.array([by_definition(values, order, lots) for order in lots.every_order()])
    test = randomisation_test(values, phase, lots=lots, trend=trend)
    assert (test.n_lots, test.n_gone_through) == (lots.count(), lots.count())
    assert test.n_as_far == np.sum(np.abs(others) >= abs(observed) - 1e-7)
    assert test.n_as_high == np.sum(others >= observed - 1e-7)
    assert test.p == test.n_as_far / lots.count()
    if not trend:
        assert test.difference == pytest.approx(observed, abs=1e-12)


def test_p_by_another_program() -> None:
    """scipy's permutation_test of the same statistics: all lots, so the same p to the last lot."""
    from scipy import stats

    values, phase = one_of(FreeOrder(old=6, new=6), 19)
    theirs = stats.permutation_test(
        (values[phase == 1], values[phase == 0]), lambda new, old: np.mean(new) - np.mean(old), n_resamples=1000
    )
    assert randomisation_test(values, phase, lots=FreeOrder(old=6, new=6)).p == pytest.approx(float(theirs.pvalue))
    signs = stats.permutation_test((values,), np.mean, permutation_type="samples", n_resamples=5000)
    assert sign_flip_test(values).p == pytest.approx(float(signs.pvalue))


def test_the_longest_orders_with_runs_can_be_counted_and_drawn() -> None:
    lots = FreeOrder(old=150, new=150, longest_run=1)
    assert lots.count() == 2
    assert lots.holds(lots.draw(np.random.default_rng(20), 1)[0].astype(np.int64))


@each_set
def test_with_a_trend_the_effect_is_the_least_squares_coefficient(lots: Lots) -> None:
    values, phase = one_of(lots, 3)
    lines = np.zeros((lots.n, 2 * len(lots.lengths) + 1))
    lines[:, -1] = phase
    for athlete, rows in enumerate(athletes(lots)):
        lines[rows, 2 * athlete] = 1
        lines[rows, 2 * athlete + 1] = np.arange(lots.lengths[athlete])
    coefficient = np.linalg.lstsq(lines, values, rcond=None)[0][-1]
    assert randomisation_test(values, phase, lots=lots, trend=True).difference == pytest.approx(coefficient)


class TestInterval:
    @each_set
    @either_way
    @pytest.mark.parametrize("seed", [4, 5])
    def test_inside_is_what_the_test_does_not_reject(self, lots: Lots, trend: bool, seed: int) -> None:
        """Brute force: the values less each effect of a fine grid are tested again."""
        values, phase = one_of(lots, seed)
        confidence = 0.8
        test = randomisation_test(values, phase, lots=lots, trend=trend, confidence=confidence)
        assert test.low is not None and test.high is not None
        wide = test.high - test.low
        near = [end + gap for end in (test.low, test.high) for gap in (-1e-6, 1e-6)]
        for effect in [*np.linspace(test.low - wide, test.high + wide, 201), *near]:
            p = randomisation_test(values - effect * phase, phase, lots=lots, trend=trend).p
            assert (test.low <= effect <= test.high) == (p > 1 - confidence + 1e-12)

    @each_set
    def test_nothing_is_outside_exactly_when_p_is_small(self, lots: Lots) -> None:
        answers = set()
        for seed in range(40):
            values, phase = one_of(lots, seed)
            test = randomisation_test(values + (seed % 3) * phase, phase, lots=lots, confidence=0.8)
            assert test.low is not None and test.high is not None
            is_outside = not test.low <= 0 <= test.high
            assert is_outside == (test.p <= 0.2 + 1e-12)
            answers.add(is_outside)
        assert answers == {True, False}

    @each_set
    def test_one_sided_counts_agree_with_two_sided(self, lots: Lots) -> None:
        """As far is as high or, on the other side, as low; a lot is both only when all differences are 0."""
        for seed in range(10):
            values, phase = one_of(lots, seed)
            up, down = (randomisation_test(sign * values, phase, lots=lots) for sign in (1, -1))
            assert up.p == down.p and up.difference == pytest.approx(-down.difference)
            assert min(up.n_as_high, down.n_as_high) <= up.n_as_far
            assert up.low is None or down.high is None or up.low == pytest.approx(-down.high, abs=1e-9)

    def test_it_moves_with_the_effect_and_scales_with_the_unit(self) -> None:
        lots = SETS["blocks of two"]
        values, phase = one_of(lots, 6)
        plain = randomisation_test(values, phase, lots=lots)
        moved = randomisation_test(10 * (values + 3 * phase) + 7, phase, lots=lots)
        assert plain.low is not None and plain.high is not None
        assert (moved.low, moved.high) == pytest.approx((10 * (plain.low + 3), 10 * (plain.high + 3)))

    def test_signs(self) -> None:
        differences = np.random.default_rng(7).normal(0.4, 1, 9)
        test = sign_flip_test(differences)
        assert test.low is not None and test.high is not None
        for effect in np.linspace(test.low - 1, test.high + 1, 301):
            assert (test.low <= effect <= test.high) == (sign_flip_test(differences - effect).p > 0.05 + 1e-12)

    def test_from_a_drawing(self) -> None:
        """The same drawn lots test every effect, so inside and p agree exactly there too."""
        lots = FreeOrder(old=12, new=12)
        values, phase = one_of(lots, 8)
        test = randomisation_test(values, phase, lots=lots, most=999)
        assert test.low is not None and test.high is not None and test.n_gone_through == 999
        for effect in np.linspace(test.low - 0.2, test.high + 0.2, 101):
            p = randomisation_test(values - effect * phase, phase, lots=lots, most=999).p
            assert (test.low <= effect <= test.high) == (p > 0.05 + 1e-12)

    def test_too_few_lots_say_which_confidence_can_be_had(self) -> None:
        lots = random_start(20)
        values, phase = one_of(lots, 9)
        test = randomisation_test(values, phase, lots=lots)
        assert (test.low, test.high) == (None, None)
        assert test.no_interval == "too few lots for a 95% interval; the highest confidence they allow is 90.9%"
        assert test.highest_confidence == 1 - 1 / 11
        assert randomisation_test(values, phase, lots=lots, confidence=0.909).low is not None
        assert randomisation_test(values, phase, lots=lots, confidence=test.highest_confidence).low is not None
        assert randomisation_test(values, phase, lots=lots, confidence=0.91).low is None

    def test_a_single_lot_allows_none(self) -> None:
        lots = random_start(10)
        values, phase = one_of(lots, 9)
        test = randomisation_test(values, phase, lots=lots)
        assert test.no_interval == "the lots allow no interval of any confidence" and test.p == 1

    def test_values_without_scatter_have_none(self) -> None:
        phase = np.tile([0, 1], 6)
        for values in (np.full(12, 7.0), 7.0 + 2 * phase):
            test = randomisation_test(values, phase)
            assert test.low is None and test.no_interval == "the values show no scatter beside the change"

    def test_confidence_must_be_a_share(self) -> None:
        with pytest.raises(DesignError, match="the confidence is 95: it must be between 0 and 1"):
            sign_flip_test(np.arange(5.0), confidence=95)


@pytest.mark.parametrize("lots", [*SETS.values(), SignFlips(pairs=6)], ids=[*SETS, "signs"])
def test_every_order_is_as_likely_to_be_drawn(lots: Lots) -> None:
    """Chi-square of 400 drawings an order on average; fixed seed, limit at six standard deviations."""
    places = {order.tobytes(): place for place, order in enumerate(lots.every_order())}
    drawn = np.ascontiguousarray(lots.draw(np.random.default_rng(10), 400 * lots.count()))
    often = np.bincount([places[order.tobytes()] for order in drawn], minlength=lots.count())
    chi_square, degrees = float(np.sum((often - 400) ** 2) / 400), lots.count() - 1
    assert abs(chi_square - degrees) < 6 * math.sqrt(2 * degrees)


LONG = [FreeOrder(old=16, new=2), FreeOrder(old=2, new=17), FreeOrder(old=33, new=2), FreeOrder(old=68, new=2)]


@pytest.mark.parametrize("lots", LONG, ids=["two blocks", "new for old", "three blocks", "place by place"])
def test_long_orders_are_drawn_as_evenly(lots: FreeOrder) -> None:
    """The few practices of one setting fall on every pair of places alike; the same limit."""
    each = max(100, 400_000 // lots.count())
    drawn = lots.draw(np.random.default_rng(15), each * lots.count())
    assert (drawn.sum(axis=1) == lots.new).all()
    rare = drawn if lots.new == 2 else 1 - drawn
    first, second = np.nonzero(rare)[1].reshape(-1, 2).T
    often = np.bincount(first * lots.n + second)
    chi_square = float(np.sum((often[often > 0] - each) ** 2) / each)
    assert np.count_nonzero(often) == lots.count()
    assert abs(chi_square - (lots.count() - 1)) < 6 * math.sqrt(2 * (lots.count() - 1))


@pytest.mark.parametrize(("widths", "k"), [((16, 2), 2), ((16, 16, 8), 20), ((16, 16, 16, 16), 5), ((7,), 3)])
def test_blocks_of_practices_share_the_new_setting_with_the_chances_of_an_urn(widths: tuple[int, ...], k: int) -> None:
    """Closed form: the multivariate hypergeometric distribution, here scipy's."""
    from scipy import stats

    shares, chances = ways_to_share(widths, k)
    assert len({tuple(share) for share in shares.tolist()}) == len(shares)
    np.testing.assert_allclose(chances, stats.multivariate_hypergeom.pmf(shares, m=widths, n=k), rtol=1e-9)


def test_the_order_as_practised_counts_with_those_drawn() -> None:
    """So p is never 0: no drawn lot is as far as a huge effect, and one of the thousand counted is."""
    lots = FreeOrder(old=12, new=12)
    values, phase = one_of(lots, 21)
    test = randomisation_test(values + 100 * phase, phase, lots=lots, most=999)
    assert (test.n_as_far, test.n_as_high, test.n_gone_through) == (0, 0, 999)
    assert test.p == test.smallest_p == test.smallest_two_sided_p == 1 / 1000
    assert test.low is not None and test.low > 90
    assert randomisation_test(values, phase, lots=lots, most=999, confidence=0.9995).low is None


@pytest.mark.parametrize("lots", [*LONG, FreeOrder(old=20, new=20), SignFlips(pairs=21)], ids=lambda lots: lots.told())
def test_what_is_drawn_packed_is_a_lot_too(lots: Lots) -> None:
    packed = lots.draw_packed(np.random.default_rng(16), 500)
    assert packed.shape == (-(-lots.n // 8), 500)
    orders = unpack(packed, lots.n)
    assert all(lots.holds(order) for order in orders)
    np.testing.assert_array_equal(pack(orders), packed)
    columns = np.random.default_rng(17).normal(size=(lots.n, 3))
    np.testing.assert_allclose(packed_sums(packed, columns), orders @ columns, atol=1e-12)


def test_drawn_orders_stand_in_no_pattern() -> None:
    """A plan that draws one order an athlete must not give the first athlete the early practices."""
    drawn = FreeOrder(old=10, new=10).draw(np.random.default_rng(18), 4000)
    in_first_half = drawn[:, :16].sum(axis=1)
    gap = in_first_half[:2000].mean() - in_first_half[2000:].mean()
    assert abs(gap) < 4 * in_first_half.std() * math.sqrt(2 / 2000)


class TestText:
    def test_names_the_lots_and_the_smallest_p(self) -> None:
        lots = StaggeredStarts(practices=(9, 9, 9), starts=(3, 4, 6))
        values, phase = one_of(lots, 11)
        assert randomisation_test(values, phase, lots=lots).algorithm == (
            "mean of the athletes' phase differences among all ways to give 3 athletes one each of the starts "
            "[3, 4, 6] (6, all gone through), two-sided, no trend; the smallest possible p is 0.1667; "
            "it counts only if each athlete's start was drawn by lot"
        )

    def test_says_how_good_a_drawing_is(self) -> None:
        lots = Blocks(blocks=15)
        values, phase = one_of(lots, 12)
        test = randomisation_test(values, phase, lots=lots, most=999, seed=5)
        assert f"(32768, 999 drawn with seed 5, p good to {test.monte_carlo_error:.2g})" in test.algorithm
        assert "each setting once in every block of 2 practices" in test.algorithm
        assert "the smallest possible p is 0.001" in test.algorithm

    def test_says_that_a_trend_was_allowed_for(self) -> None:
        lots = SETS["random start"]
        values, phase = one_of(lots, 13)
        assert "beside a straight line" in randomisation_test(values, phase, lots=lots, trend=True).algorithm


def rating_row(lots: Lots, *, kind: str = "rating") -> tuple[Any, LotTest]:
    values, phase = one_of(lots, 14)
    exog = np.column_stack([np.ones(lots.n), phase])
    tabled = Tabled(kind=kind, response=values, exog=exog, column=1)  # type: ignore[arg-type]
    return usual_fits(tabled, lots=lots)[-1], randomisation_test(values, phase, lots=lots)


class TestSensitivityRow:
    def test_points_stay_points(self) -> None:
        row, test = rating_row(SETS["blocks of two"])
        assert (row.estimate, row.low, row.high, row.p) == (test.difference, test.low, test.high, test.p)
        assert row.low is not None and row.reason is None and "smallest possible p is 0.01562" in row.algorithm

    def test_logarithms_become_ratios(self) -> None:
        row, test = rating_row(SETS["blocks of two"], kind="time")
        assert test.low is not None and test.high is not None
        assert (row.estimate, row.low, row.high) == pytest.approx(tuple(np.exp([test.difference, test.low, test.high])))

    def test_too_few_lots_stand_as_the_reason(self) -> None:
        row, _ = rating_row(random_start(16))
        assert (row.low, row.high) == (None, None)
        assert row.reason == "too few lots for a 95% interval; the highest confidence they allow is 85.7%"


class TestRefusals:
    @pytest.mark.parametrize(
        ("make", "message"),
        [
            (lambda: random_start(9), "9 practices are too few for phases of"),
            (lambda: Moments(practices=9, shortest=(5,)), "give at least two"),
            (lambda: Moments(practices=9, shortest=(2, 2), first=2), "must be 0 .old. or 1 .new."),
            (lambda: Blocks(blocks=0), "at least one is needed"),
            (lambda: Blocks(blocks=4, size=3), "a block of 3 cannot hold both settings equally often"),
            (lambda: FreeOrder(old=0, new=3), "each needs at least one"),
            (lambda: FreeOrder(old=7, new=2, longest_run=2), "has runs of at most 2: allow longer runs"),
            (lambda: FreeOrder(old=200, new=101, longest_run=3), "301 practices are too many"),
            (lambda: StaggeredStarts(practices=(8, 8, 8), starts=(3, 4)), "3 athletes and 2 starts"),
            (lambda: StaggeredStarts(practices=(8, 8), starts=(3, 8)), "from 1 to 7"),
            (lambda: StaggeredStarts(practices=(8, 8), starts=(3, 3, 4)), "would not be equally likely"),
            (lambda: SignFlips(pairs=0), "no pair to compare"),
            (lambda: GivenOrders(orders=()), "are none"),
            (lambda: GivenOrders(orders=((0, 1), (1, 1))), "order 2 of those that could be drawn must hold both"),
            (lambda: lots_from_dict({"kind": "dice"}), "the kind of lots is 'dice': it must be one of moments, "),
            (lambda: lots_from_dict({"kind": "blocks", "blocks": 3}), "need blocks, size; given are blocks"),
        ],
    )
    def test_impossible_sets(self, make: Any, message: str) -> None:
        with pytest.raises(DesignError, match=message):
            make()

    def test_an_order_that_the_plan_could_not_have_drawn(self) -> None:
        with pytest.raises(DesignError, match="not among those that could be drawn"):
            randomisation_test(np.arange(12.0), np.repeat([0, 1], 6), lots=Blocks(blocks=6))

    def test_values_and_phases_of_different_number(self) -> None:
        with pytest.raises(DesignError, match="there are 5 values and 6 phases"):
            randomisation_test(np.arange(5.0), np.array([0, 0, 0, 1, 1, 1]))

    def test_sign_flips_of_practices(self) -> None:
        with pytest.raises(DesignError, match="use sign_flip_test"):
            randomisation_test(np.arange(4.0), np.array([0, 1, 0, 1]), lots=SignFlips(pairs=4))

    def test_settings_that_follow_a_line(self) -> None:
        with pytest.raises(DesignError, match="leave out the trend"):
            randomisation_test(np.arange(2.0), np.array([0, 1]), lots=FreeOrder(old=1, new=1), trend=True)
