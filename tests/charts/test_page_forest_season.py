from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from typing import Literal

import pytest

from rampbook.charts.forest import FARTHEST, forest_of_changes, forest_rows, forest_spec
from rampbook.charts.page import to_html
from rampbook.charts.render import to_png, to_svg
from rampbook.charts.season import SeasonMark, SeasonPoint, season_spec, season_timeline
from rampbook.units import KindName

from .drawn import plain, rows_of, written
from .make_finding import CASES, make_finding

Both = Literal["wide", "narrow"]
BOTH: tuple[Both, ...] = ("wide", "narrow")
FINDINGS = [make() for make in CASES.values()]


def test_page_holds_everything_and_fetches_nothing() -> None:
    finding = CASES["there_and_back"]()
    page = to_html(finding)
    assert page == to_html(finding)
    without_names = page.replace("http://www.w3.org/2000/svg", "").replace("http://www.w3.org/1999/xlink", "")
    assert not re.search(r"https?:|<script|<link|@import|url\(", without_names)
    assert page.count("<svg") == 2
    assert page.count('<th scope="row">') == len(finding.drawing.points)


def test_page_table_has_the_numbers_of_the_picture() -> None:
    finding = CASES["rating"]()
    table = to_html(finding).split("<table>")[1]
    point = finding.drawing.points[-1]
    assert point.on is not None
    assert point.without is not None
    row = next(line for line in table.splitlines() if point.on.isoformat() in line)
    assert f"<td>{point.value:.4g}</td>" in row
    assert f"<td>{point.without:.4g}</td>" in row
    assert '<td class="word">65</td>' in row


def test_page_escapes_what_a_club_typed() -> None:
    page = to_html(make_finding(drawing={"title": "<b>A & B</b>"}))
    assert "<b>A" not in page
    assert "&lt;b&gt;A &amp; B&lt;/b&gt;" in page


def test_png_grows_with_its_scale() -> None:
    spec = forest_spec(FINDINGS[:2], width="narrow")
    small, large = (to_png(spec, scale=scale) for scale in (1, 2))
    assert small[:8] == large[:8] == b"\x89PNG\r\n\x1a\n"
    assert int.from_bytes(large[16:20]) == 2 * int.from_bytes(small[16:20]) == 720


def test_forest_is_sorted_by_gain_with_the_unknown_last() -> None:
    gains = [row.gain for row in forest_rows(FINDINGS)]
    known = [gain for gain in gains if gain is not None]
    assert known == sorted(known, reverse=True)
    assert gains[: len(known)] == known


def test_gain_counts_smallest_worthwhile_changes_and_better_is_above_zero() -> None:
    faster = replace(make_finding("time"), estimate=0.9, low=0.81, high=1.0, worthwhile=0.9)
    row = forest_rows([faster])[0]
    assert (row.gain, row.low, row.high) == pytest.approx((1.0, 0.0, 2.0))
    lower = replace(make_finding("rating"), estimate=-1.0, low=-2.0, high=0.5, worthwhile=0.5)
    row = forest_rows([lower])[0]
    assert (row.gain, row.low, row.high) == pytest.approx((-2.0, -4.0, 1.0))


def test_change_without_a_worthwhile_size_is_told_but_not_placed() -> None:
    row = forest_rows([replace(make_finding(), worthwhile=None)])[0]
    assert row.gain is None
    assert "no smallest change that matters is known" in row.said


@pytest.mark.parametrize("width", BOTH)
def test_forest_has_verdict_and_rung_in_words_and_nothing_too_wide(width: Both) -> None:
    spec = forest_spec(FINDINGS, width=width)
    said = plain(to_svg(spec))
    for finding in FINDINGS:
        assert finding.verdict in said
        assert finding.rung in said
    for panel, text, left, right, _ in written(spec):
        assert left >= -0.5, text
        assert right <= panel["width"] + 0.5, text


def test_forest_cuts_what_is_far_with_an_arrow() -> None:
    far = replace(make_finding("time"), estimate=0.9, low=0.2, high=3.0, worthwhile=0.97)
    assert [row["turn"] for row in rows_of(forest_spec([far]), "forest: run on")] == [-90, 90]
    assert forest_rows([far])[0].high > FARTHEST  # type: ignore[operator]


def test_forest_of_nothing_is_a_picture() -> None:
    assert "All changes" in plain(to_svg(forest_spec([])))


def _season() -> tuple[list[SeasonPoint], list[SeasonMark]]:
    start = date(2025, 9, 3)
    outcomes: tuple[tuple[str, KindName, str, float], ...] = (
        ("gate drill", "time", "seconds", 12.0),
        ("collisions", "count", "per hour", 5.0),
    )
    points = [
        SeasonPoint(series=name, kind=kind, axis=axis, on=start + timedelta(days=6 * i), value=value + 0.01 * i)
        for name, kind, axis, value in outcomes
        for i in range(40)
    ]
    marks = [
        SeasonMark(on=start + timedelta(days=40), text="acceleration 80 → 65", role="change"),
        SeasonMark(on=start + timedelta(days=90), text="new joystick", role="event"),
        SeasonMark(on=start + timedelta(days=95), text="tyres", role="event"),
    ]
    return points, marks


@pytest.mark.parametrize("width", BOTH)
def test_season_names_every_mark_and_fits(width: Both) -> None:
    points, marks = _season()
    spec = season_spec(points, marks, title="Season 2025/26, athlete K03", width=width)
    said = plain(" ".join(text for _, text, *_ in written(spec)))
    for mark in marks:
        assert mark.text in said
    for panel, text, left, right, _ in written(spec):
        assert left >= -0.5, text
        assert right <= panel["width"] + 0.5, text


def test_season_draws_every_point_in_its_own_panel_with_every_line() -> None:
    points, marks = _season()
    spec = season_spec(points, marks, title="Season")
    for order, series in enumerate(("gate drill", "collisions")):
        wanted = [(p.on.toordinal(), p.value) for p in points if p.series == series]
        assert [(row["on"], row["value"]) for row in rows_of(spec, f"season {order}: practices")] == wanted
        assert len(rows_of(spec, f"season {order}: change lines")) == 1
        assert len(rows_of(spec, f"season {order}: event lines")) == 2


def test_forest_and_season_are_valid_altair_charts() -> None:
    points, marks = _season()
    for chart in (forest_of_changes(FINDINGS), season_timeline(points, marks, title="Season")):
        assert chart.to_dict(validate=True)["vconcat"]
