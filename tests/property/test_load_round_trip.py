"""What goes in comes out: any attempts, in any order of rows and columns, and any sign for decimals."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rampbook.store import open_store
from rampbook.store.load import load_paths

COLUMNS = ("attempt", "practice", "athlete", "profile", "drill", "seconds", "finished", "limit_s", "touches", "timer")
WORDS = st.text("abcuefXYZ0äé'\"#-", min_size=1, max_size=6)
SECONDS = st.floats(min_value=1e-3, max_value=1e5, allow_nan=False)


@st.composite
def attempt_rows(draw: st.DrawFn) -> list[dict[str, Any]]:
    rows = []
    for i in range(draw(st.integers(1, 12))):
        finished = draw(st.sampled_from([0, 1]))
        rows.append(
            {
                "attempt": f"A{i}",
                "practice": "P1",
                "athlete": "K01",
                "profile": draw(st.integers(0, 9) | st.none()),
                "drill": draw(WORDS),
                "seconds": draw(SECONDS) if finished else draw(st.none() | SECONDS),
                "finished": finished,
                "limit_s": draw(st.none() | SECONDS),
                "touches": draw(st.none() | st.integers(0, 99)),
                "timer": draw(st.none() | WORDS),
            }
        )
    return rows


def as_text(rows: list[dict[str, Any]], columns: list[str], mark: str, decimal: str) -> str:
    def cell(value: Any) -> str:
        if value is None:
            return ""
        typed = repr(value).replace(".", decimal) if isinstance(value, float) else str(value)
        return '"' + typed.replace('"', '""') + '"'

    lines = [mark.join(columns), *(mark.join(cell(row[column]) for column in columns) for row in rows)]
    return "\n".join(lines) + "\n"


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    rows=attempt_rows(),
    columns=st.permutations(COLUMNS),
    mark=st.sampled_from([",", ";", "\t"]),
    decimal=st.sampled_from([".", ","]),
    data=st.data(),
)
def test_attempts_come_out_as_they_went_in(
    rows: list[dict[str, Any]], columns: list[str], mark: str, decimal: str, data: st.DataObject
) -> None:
    shuffled = data.draw(st.permutations(rows))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "athletes.csv").write_text("athlete,consent\nK01,club\n", encoding="utf-8")
        (folder / "practices.csv").write_text("practice,athlete,on\nP1,K01,2026-02-01\n", encoding="utf-8")
        (folder / "attempts.csv").write_text(as_text(shuffled, columns, mark, decimal), encoding="utf-8")
        with open_store(folder / "club.duckdb") as store:
            report = load_paths(store, [folder])
            assert report.set_aside == []
            stored = store.select(f"select {', '.join(COLUMNS)} from attempts")
            assert sorted(stored, key=lambda row: row["attempt"]) == sorted(rows, key=lambda row: row["attempt"])
            assert load_paths(store, [folder]).already_there["attempts"] == len(rows)
