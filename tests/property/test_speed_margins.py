"""What holds of every margin to a speed limit, whatever the gate, the time and the method."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.domain.speed import METHODS, POWERCHAIR_FOOTBALL, SpeedLimit, judge, limit_of

methods = st.sampled_from(list(METHODS))
metres = st.floats(1, 60)
times = st.floats(0.2, 60)
limits = st.one_of(
    st.just(POWERCHAIR_FOOTBALL),
    st.floats(2, 20).map(limit_of),
    st.floats(2, 20).map(lambda kmh: limit_of(kmh, 20, 20 / (kmh / 3.6) * 0.995)),
)


@settings(max_examples=2_500, deadline=None)
@given(limit=limits, method=methods, gate_m=metres, seconds=times)
def test_the_range_holds_the_reading_and_the_margin_has_the_sign_of_the_result(
    limit: SpeedLimit, method: str, gate_m: float, seconds: float
) -> None:
    found = judge(limit, method, gate_m=gate_m, seconds=seconds)
    assert 0 <= found.low <= found.kmh and (found.high is None or found.kmh <= found.high)
    assert found.kmh + found.margin_kmh == pytest.approx(limit.gate_kmh)
    assert found.passes == (found.margin_kmh >= -1e-8 * limit.gate_kmh) or abs(found.margin_kmh) < 1e-6
    assert found.margin_low is None or found.margin_low <= found.margin_kmh <= found.margin_high


@settings(max_examples=2_500, deadline=None)
@given(limit=limits, method=methods, gate_m=metres, seconds=times, later=st.floats(0, 5))
def test_more_time_never_turns_a_pass_into_a_fail(
    limit: SpeedLimit, method: str, gate_m: float, seconds: float, later: float
) -> None:
    first = judge(limit, method, gate_m=gate_m, seconds=seconds)
    slower = judge(limit, method, gate_m=gate_m, seconds=seconds + later)
    assert slower.margin_kmh >= first.margin_kmh
    assert slower.passes or not first.passes
    # And a clear pass stays clear when the chair is slower still.
    assert slower.clear or not (first.passes and first.clear)


@settings(max_examples=2_500, deadline=None)
@given(limit=limits, method=methods, gate_m=metres, seconds=times)
def test_clear_means_that_both_ends_of_the_range_get_the_same_result(
    limit: SpeedLimit, method: str, gate_m: float, seconds: float
) -> None:
    found = judge(limit, method, gate_m=gate_m, seconds=seconds)
    if found.clear:
        assert limit.allows(found.low) == found.passes
        assert found.high is None or limit.allows(found.high) == found.passes
    elif found.high is not None:
        on_both_sides = limit.allows(found.low) and not found.high < limit.gate_kmh
        assert on_both_sides


@settings(max_examples=2_500, deadline=None)
@given(limit=limits, kmh=st.floats(0.5, 30), method=methods, by=st.floats(0.25, 4))
def test_the_same_speed_gets_the_same_result_whatever_the_gate(
    limit: SpeedLimit, kmh: float, method: str, by: float
) -> None:
    gate_m = 19.5 * by
    timed = judge(limit, method, gate_m=gate_m, seconds=gate_m / (kmh / 3.6))
    read = judge(limit, "rollers", read_kmh=kmh)
    assert timed.kmh == pytest.approx(read.kmh)
    assert timed.passes == read.passes or abs(read.margin_kmh) < 1e-6
    # A longer gate is timed more surely.
    longer = judge(limit, method, gate_m=2 * gate_m, seconds=2 * gate_m / (kmh / 3.6))
    assert longer.kmh - longer.low <= timed.kmh - timed.low + 1e-9
