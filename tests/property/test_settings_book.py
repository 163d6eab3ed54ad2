"""Any value on any day: the store's answer is what a plain replay of the record gives."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.cli.standing import as_stood, stood_rows
from rampbook.domain.sheet_diff import days_apart
from rampbook.store import Store, open_store
from tests.sql.make_histories import N_DAYS, START, in_days, random_history, replay, save

N_HISTORIES = 10_000


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with open_store(tmp_path_factory.mktemp("book") / "club.duckdb") as opened:
        yield opened


@pytest.mark.slow
def test_ten_thousand_random_records_give_the_runs_of_their_replay(store: Store) -> None:
    random = Random(20251)
    n_runs = n_confirmed = n_corrected = 0
    for batch in range(10):
        histories = {f"K{batch}-{i}": random_history(random, f"K{batch}-{i}") for i in range(N_HISTORIES // 10)}
        rows = [row for history in histories.values() for row in history]
        save(store, rows)
        found = store.select(
            "select athlete, chair, profile, setting, value, since, change, readings from setting_runs "
            "order by athlete, chair, profile, setting, place"
        )
        got: dict[object, list[object]] = {}
        for row in found:
            key = row["athlete"], row["chair"], row["profile"], row["setting"]
            got.setdefault(key, []).append((row["value"], row["since"], row["change"], row["readings"]))
        expected = {
            key: [(run.value, run.since, run.change, run.readings) for run in runs]
            for history in histories.values()
            for key, runs in replay(history).items()
        }
        assert got == expected
        n_runs += len(found)
        n_confirmed += sum(len(row["readings"]) > (row["change"] is None) for row in found)
        n_corrected += sum(row.supersedes is not None for row in rows)
    # The records are worth replaying: values that were read again, and corrections, are common in them.
    assert n_runs > 3 * N_HISTORIES and n_confirmed > 1000 and n_corrected > 10_000


days = st.integers(-1, N_DAYS).map(lambda n: START + timedelta(days=n))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32), days, days)
def test_a_day_and_a_stretch_of_days_are_as_in_the_replay(store: Store, seed: int, one: date, other: date) -> None:
    history = random_history(Random(seed), "K01")
    save(store, [*history, *random_history(Random(seed + 1), "K02")])
    first, last = sorted((one, other))
    for start, end in ((first, first), (first, last), (date.min, date.max)):
        expected = sorted(
            (key[1] or "", key[2], key[3], run.since, run.value, run.change or "", max(run.readings, default=None))
            for key, run in in_days(history, start, end)
        )
        found = stood_rows(store, "K01", start, end)
        assert expected == sorted(
            (r["chair"] or "", r["profile"], r["setting"], r["since"], r["value"], r["change"] or "", r["checked_on"])
            for r in found
        )
        # Of one setting, oldest first.
        for a, b in pairwise(found):
            if as_stood(a).setting == as_stood(b).setting and (a["chair"], a["profile"]) == (b["chair"], b["profile"]):
                assert a["place"] < b["place"]


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32), days, days)
def test_what_differs_between_two_days_is_explained_by_what_came_between(
    store: Store, seed: int, one: date, other: date
) -> None:
    history = random_history(Random(seed), "K01")
    save(store, history)
    first, last = sorted((one, other))
    before, after = replay(history, first), replay(history, last)
    left, right, every = (
        [as_stood(row) for row in stood_rows(store, "K01", *stretch)]
        for stretch in ((first, first), (last, last), (first, last))
    )
    rows = {(d.right.chair, d.right.profile, d.setting): d for d in days_apart(left, right, every) if d.right}
    assert set(rows) == {key[1:] for key in after}
    for key, runs in after.items():
        row, was = rows[key[1:]], before.get(key, [])
        assert row.is_same == (bool(was) and was[-1].value == runs[-1].value)
        # What came between is the tail of the replay, in order, and ends with the value of the later day.
        expected = [(run.value, run.since, run.change) for run in runs[len(was) :]]
        assert [(s.value, s.since, s.change) for s in row.between] == expected
        assert row.is_same or row.between[-1].value == runs[-1].value
