from __future__ import annotations

import re
import subprocess
import sys
import time
from dataclasses import replace
from itertools import pairwise
from typing import Any, get_args

import pytest

from rampbook.charts.effect_picture import effect_picture, effect_spec
from rampbook.charts.frames import alt_text, effect_frames
from rampbook.charts.render import to_png, to_svg
from rampbook.charts.theme import FILLS, LAYOUTS, MARGIN, SHAPES, Width
from rampbook.charts.words import without_words
from rampbook.evidence.finding import Finding

from .drawn import panels, plain, rows_of, written
from .make_finding import CASES, NOT_SHOWN, make_finding

WIDTHS: tuple[Width, ...] = get_args(Width)
EVERY = [(name, width) for name in CASES for width in WIDTHS]


@pytest.mark.parametrize(("name", "width"), EVERY)
def test_no_text_is_wider_than_its_panel(name: str, width: Width) -> None:
    for panel, text, left, right, _ in written(effect_spec(CASES[name](), width=width)):
        assert left >= -0.5, (panel["name"], text)
        assert right <= panel["width"] + 0.5, (panel["name"], text)


@pytest.mark.parametrize(("name", "width"), EVERY)
def test_no_two_texts_of_a_panel_overlap(name: str, width: Width) -> None:
    lines = list(written(effect_spec(CASES[name](), width=width)))
    for i, (panel, text, left, right, y) in enumerate(lines):
        for other_panel, other, other_left, other_right, other_y in lines[i + 1 :]:
            if panel is other_panel and abs(y - other_y) < 9:
                assert right <= other_left or other_right <= left, (text, other)


@pytest.mark.parametrize(("name", "width"), EVERY)
def test_no_label_above_the_plot_is_crossed_by_a_line(name: str, width: Width) -> None:
    spec = effect_spec(CASES[name](), width=width)
    lines = [row for role in ("changes", "events", "gaps") for row in rows_of(spec, f"practices: {role} lines")]
    for panel, text, left, right, y in written(spec):
        if panel["name"] == "practices panel":
            crossing = [row for row in lines if left < row["px"] < right and row["py"] < y < row["py2"]]
            assert not crossing, text


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ["plain", "alternating", "too_few", "wordy"])
def test_rung_sentence_and_limits_are_words_of_the_drawing(name: str, width: Width) -> None:
    finding = CASES[name]()
    svg = to_svg(effect_spec(finding, width=width))
    said = plain(re.sub(r"<title>.*?</title>", "", svg, flags=re.S))
    wanted = (
        finding.rung,
        finding.verdict,
        finding.allowed_sentence,
        *finding.not_shown,
        *(w.message for w in finding.warnings),
    )
    for words in wanted:
        assert plain(words) in said


@pytest.mark.parametrize("width", WIDTHS)
def test_svg_is_exactly_as_wide_as_its_place(width: Width) -> None:
    svg = to_svg(effect_spec(CASES["near_zero"](), width=width))
    found = re.search(r'width="([\d.]+)"', svg)
    assert found is not None
    assert (
        float(found.group(1)) == LAYOUTS[width].total + 2 * MARGIN == {"wide": 1040, "half": 440, "narrow": 360}[width]
    )


def test_same_finding_gives_the_same_bytes() -> None:
    first, second = (effect_spec(CASES["plain"]()) for _ in range(2))
    assert to_svg(first) == to_svg(second)
    assert to_png(first, scale=1) == to_png(second, scale=1)


@pytest.mark.parametrize("name", list(CASES))
def test_what_is_drawn_is_what_the_frames_hold(name: str) -> None:
    finding = CASES[name]()
    frames, spec = effect_frames(finding), effect_spec(finding)
    assert rows_of(spec, "practices: practices") == frames["practices"]
    drawn = rows_of(spec, "practices: attempts") + rows_of(spec, "practices: unfinished attempts")
    key = _by_place
    assert sorted(drawn, key=key) == sorted(frames["attempts"], key=key)
    assert len(rows_of(spec, "practices: changes lines")) == len(frames["changes"])
    assert len(rows_of(spec, "practices: events lines")) == len(frames["events"])
    assert [row["value"] for row in rows_of(spec, "untouched: untouched practices")] == [
        row["value"] for row in frames["control"]
    ]


def _by_place(row: dict[str, Any]) -> tuple[float, float]:
    return row["position"], row["value"]


def test_practices_stand_in_the_frames_as_in_the_finding() -> None:
    finding = CASES["plain"]()
    frames = effect_frames(finding)
    assert [(row["position"], row["value"], row["phase"]) for row in frames["practices"]] == [
        (p.position, p.value, p.phase) for p in finding.drawing.points
    ]
    middles = {row["position"]: row for row in frames["without"]}
    for point in finding.drawing.points:
        if point.phase == 1:
            row = middles[point.position]
            assert (row["value"], row["low"], row["high"]) == (point.without, point.without_low, point.without_high)
    assert frames["effect"] == [
        {"estimate": finding.estimate, "low": finding.low, "high": finding.high, "worthwhile": finding.worthwhile}
    ]


def test_trend_is_straight_across_a_calendar_gap() -> None:
    finding = make_finding("rating", trend=0.05, effect=1.0, days=[4 * i + (60 if i > 5 else 0) for i in range(22)])
    before = [row for row in effect_frames(finding)["fitted"] if row["run"] == 0]
    steps = {round((b["value"] - a["value"]) / (b["position"] - a["position"]), 9) for a, b in pairwise(before)}
    assert len(steps) == 1


def test_run_of_one_practice_is_drawn_as_a_line_with_the_slope_of_the_trend() -> None:
    finding = make_finding("rating", phases=(0, 1) * 8, trend=0.1, effect=0.5)
    runs = [[row for row in effect_frames(finding)["without"] if row["run"] == run] for run in (1, 3)]
    for run in runs:
        assert len(run) == 3
        assert run[2]["value"] - run[0]["value"] == pytest.approx(
            (runs[1][1]["value"] - runs[0][1]["value"]) / (runs[1][1]["position"] - runs[0][1]["position"]), rel=1e-9
        )


def test_long_break_is_told_in_words_and_the_usual_step_is_not() -> None:
    days = [4 * i + (21 if i > 10 else 0) for i in range(22)]
    assert effect_frames(make_finding(days=days))["gaps"] == [{"position": 10.5, "text": "25 days without practice"}]
    assert effect_frames(make_finding(days=[20 * i for i in range(22)]))["gaps"] == []


def test_change_stands_before_the_practice_it_names() -> None:
    assert [row["position"] for row in effect_frames(make_finding())["changes"]] == [10.5]


def test_every_crossing_of_an_alternating_design_is_drawn_and_each_way_is_named_once() -> None:
    finding = CASES["alternating"]()
    spec = effect_spec(finding)
    assert len(rows_of(spec, "practices: changes lines")) == len(finding.drawing.changes) > 10
    named = plain(" ".join(row["text"] for row in rows_of(spec, "practices: change labels")))
    assert named.count("80 → 65") == named.count("65 → 80") == 1
    bands = rows_of(spec, "practices: stretches with the new setting")
    assert len(bands) == sum(row["phase"] for row in effect_frames(finding)["phases"])


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", list(CASES))
def test_every_change_and_event_is_named_somewhere(name: str, width: Width) -> None:
    finding = CASES[name]()
    said = plain(" ".join(text for _, text, *_ in written(effect_spec(finding, width=width))))
    for event in finding.drawing.events:
        assert plain(event.text) in said
    if len(finding.drawing.changes) <= 4:
        for change in finding.drawing.changes:
            assert plain(change.text.removeprefix("acceleration ")) in said


def test_unfinished_attempts_have_their_own_mark_and_words() -> None:
    spec = effect_spec(CASES["plain"]())
    assert len(rows_of(spec, "practices: unfinished attempts")) == 3
    notes = plain(" ".join(row["text"] for row in rows_of(spec, "practice axis: notes")))
    assert "Crosses: 3 attempts not finished, drawn at the time limit." in notes


def test_without_an_estimate_the_panel_says_so_and_draws_no_interval() -> None:
    spec = effect_spec(CASES["too_few"]())
    assert [row["text"] for row in rows_of(spec, "effect: estimate words")] == ["No estimate"]
    assert rows_of(spec, "effect: interval bar") == rows_of(spec, "practices: without the change") == []


@pytest.mark.parametrize("name", list(CASES))
def test_name_of_the_dashed_line_stands_where_the_setting_was_the_new_one(name: str) -> None:
    spec = effect_spec(CASES[name]())
    bands = rows_of(spec, "practices: stretches with the new setting")
    for panel, text, left, right, _ in written(spec):
        if panel["name"] == "practices panel" and text.startswith(("had ", "expected with")):
            assert any(band["px"] <= (left + right) / 2 + 8 and (left + right) / 2 - 8 <= band["px2"] for band in bands)


@pytest.mark.parametrize(("label", "words"), [
    ("80", "had it stayed at 80"),
    ("turn speed max 55.5", "had turn speed max stayed at 55.5"),
    ("old setting", "had the old setting stayed"),
    ("soft mode", "expected with: soft mode"),
])  # fmt: skip
def test_dashed_line_is_named_in_plain_words(label: str, words: str) -> None:
    assert without_words(label) == words


def test_interval_beyond_the_panel_ends_in_arrows_and_its_ends_are_told() -> None:
    spec = effect_spec(CASES["wide_interval"]())
    assert [row["turn"] for row in rows_of(spec, "effect: runs on")] == [-90, 90]
    notes = plain(" ".join(row["text"] for row in rows_of(spec, "effect: effect notes")))
    assert "to 95% less often" in notes
    assert "to 14 times as often" in notes


@pytest.mark.parametrize(("kind", "less", "more"), [
    ("time", "← faster (better)", "slower →"),
    ("count", "← less often (better)", "more often →"),
    ("rating", "← lower", "higher (better) →"),
    ("success", "← odds lower", "odds higher (better) →"),
])  # fmt: skip
def test_directions_are_words_and_the_better_one_is_named(kind: str, less: str, more: str) -> None:
    spec = effect_spec(make_finding(kind))
    assert [row["text"] for row in rows_of(spec, "effect: less")] == [less]
    assert [row["text"] for row in rows_of(spec, "effect: more")] == [more]


def test_better_direction_follows_the_finding_not_the_kind() -> None:
    spec = effect_spec(replace(make_finding("time"), better="higher"))
    assert [row["text"] for row in rows_of(spec, "effect: more")] == ["slower (better) →"]


def test_counts_start_at_zero_and_times_do_not() -> None:
    assert _value_domain(make_finding("count"))[0] == 0
    assert _value_domain(make_finding("time"))[0] > 5


def _value_domain(finding: Finding) -> list[float]:
    practices = _layer(finding, "practices: practices")
    domain: list[float] = practices["encoding"]["y"]["scale"]["domain"]
    return domain


def _layer(finding: Finding, name: str) -> dict[str, Any]:
    found = [layer for panel in panels(effect_spec(finding)) for layer in panel["layer"] if layer.get("name") == name]
    return dict(found[0])


def test_practices_layer_as_a_small_snapshot() -> None:
    practices = _layer(make_finding(), "practices: practices")
    assert practices["mark"]["type"] == "point"
    assert practices["encoding"]["shape"]["scale"] == {"domain": [0, 1], "range": list(SHAPES.values())}
    assert practices["encoding"]["color"]["scale"] == {"domain": [0, 1], "range": list(FILLS.values())}
    assert practices["encoding"]["x"]["scale"]["domain"] == [-0.5, 21.5]


def test_old_and_new_differ_in_grey() -> None:
    old, new = (_lightness(FILLS[phase]) for phase in (0, 1))
    assert new - old > 0.25


def _lightness(colour: str) -> float:
    red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return 0.299 * red + 0.587 * green + 0.114 * blue


def test_alt_text_states_the_finding() -> None:
    finding = CASES["plain"]()
    said = plain(alt_text(finding))
    for words in (
        "Gate drill, profile 2, athlete K03", "Changed: acceleration 80 → 65, 25 Feb",
        "11 practices with 80, 11 with 65",
        f"Verdict: {finding.verdict}", "Rung: before-after (step 2 of 5)", "tyres changed", *NOT_SHOWN,
        *(warned.message for warned in finding.warnings),
    ):  # fmt: skip
        assert words in said
    assert "<title>Gate drill, profile 2, athlete K03. seconds to finish" in to_svg(effect_spec(finding))


def test_altair_chart_holds_the_same_specification_and_is_valid() -> None:
    import altair as alt

    finding = CASES["there_and_back"]()
    chart = effect_picture(finding)
    assert isinstance(chart, alt.VConcatChart)
    held = chart.to_dict(validate=True)
    spec = effect_spec(finding)
    assert held["vconcat"] == spec["vconcat"]
    assert to_svg(held) == to_svg(spec)


def test_a_specification_needs_no_heavy_import() -> None:
    code = (
        "import sys; from rampbook.charts.effect_picture import effect_spec; "
        "print([m for m in ('altair', 'pandas', 'polars', 'scipy', 'vl_convert') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_two_hundred_practices_are_laid_out_in_a_moment() -> None:
    finding = CASES["long"]()
    spent = []
    for _ in range(3):
        start = time.process_time()
        effect_spec(finding)
        spent.append(time.process_time() - start)
    assert min(spent) < 0.2
