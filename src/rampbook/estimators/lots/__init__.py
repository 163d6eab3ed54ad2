"""Randomisation tests: the sets of lots that a plan can draw from, and the test that goes through exactly them."""

from __future__ import annotations

from rampbook.estimators.lots.blocks import Blocks
from rampbook.estimators.lots.by_lot import randomisation_test, sign_flip_test
from rampbook.estimators.lots.free_order import FreeOrder
from rampbook.estimators.lots.given_orders import GivenOrders
from rampbook.estimators.lots.guess import guess_lots
from rampbook.estimators.lots.lot_set import Lots
from rampbook.estimators.lots.moments import Moments, count_moments, phase_lengths, random_start
from rampbook.estimators.lots.result import SEED, LotTest
from rampbook.estimators.lots.saved import lots_from_dict
from rampbook.estimators.lots.sign_flips import SignFlips
from rampbook.estimators.lots.staggered import StaggeredStarts

__all__ = [
    "SEED",
    "Blocks",
    "FreeOrder",
    "GivenOrders",
    "LotTest",
    "Lots",
    "Moments",
    "SignFlips",
    "StaggeredStarts",
    "count_moments",
    "guess_lots",
    "lots_from_dict",
    "phase_lengths",
    "random_start",
    "randomisation_test",
    "sign_flip_test",
]
