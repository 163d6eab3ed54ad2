"""The picture of a response: every word inside its place, told apart without colour, and true to the numbers."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import Any, get_args

import numpy as np
import pytest

from rampbook.charts.render import to_svg
from rampbook.charts.response_document import document
from rampbook.charts.response_drawing import Overlay, ResponseDrawing, Side
from rampbook.charts.response_page import response_html
from rampbook.charts.response_panels import COLOURS, DASHES, SHAPES
from rampbook.charts.response_picture import (
    PLACES,
    Place,
    curve_plots,
    motion_plots,
    part_spec,
    response_picture,
    response_spec,
)
from rampbook.charts.response_words import GAIN, MODEL, PARTS, alt_text, findings, sections
from rampbook.charts.theme import MARGIN
from rampbook.domain.cautions import cautions
from rampbook.domain.kinematics import Trace, measure_gate, measure_trace
from rampbook.domain.motion import Ramp
from rampbook.domain.response import response_of
from rampbook.domain.throw import OTHER

from .drawn import panels, plain, rows_of, written

SHEET = {
    "deadband": 8.0, "throw_forward": 80.0, "throw_reverse": 80.0, "throw_left": 60.0, "throw_right": 60.0,
    "forward_speed_max": 80.0, "forward_speed_min": 30.0, "reverse_speed_max": 50.0, "reverse_speed_min": 20.0,
    "turn_speed_max": 45.0, "turn_speed_min": 20.0, "acceleration_max": 60.0, "acceleration_min": 30.0,
    "deceleration_max": 70.0, "deceleration_min": 40.0, "turn_acceleration_max": 40.0, "turn_acceleration_min": 20.0,
    "turn_deceleration_max": 50.0, "turn_deceleration_min": 30.0,
}  # fmt: skip
DRIVEN = Ramp(speed=2.4, rise=1.5, fall=2.0)


def trace() -> Trace:
    times = np.arange(0, 9, 0.02)
    noise = np.random.default_rng(1).normal(0, 0.04, times.size)
    speed = np.array([DRIVEN.speed_at(t - 1, held=5) for t in times]) + noise
    return Trace(time_s=tuple(times), speed_m_s=tuple(speed))


def run(**change: Any) -> Overlay:
    measured = measure_trace(trace())
    values: dict[str, Any] = {
        "direction": "forward", "told": "Run R1, forward, 2026-02-01, dial at 100%", "measured": measured,
        "trace": trace(), "speed": measured.top_speed_m_s / 80, "rise": (measured.acceleration_m_s2 or 0) / 60,
        "fall": (measured.deceleration_m_s2 or 0) / 70,
    }  # fmt: skip
    return Overlay(**(values | change))


def drawn(*sheets: dict[str, float], dial: float = 100.0, **change: Any) -> ResponseDrawing:
    words = ("before", "after") if len(sheets) == 2 else ("as set",)
    definition = change.get("definition")
    sides = tuple(
        Side(
            word=word, told=f"the sheet as it stood on {date(2026, 1, 5)}",
            response=response_of(sheet, dial_percent=dial, **({"definition": definition} if definition else {})),
        )
        for word, sheet in zip(words, sheets, strict=True)
    )  # fmt: skip
    values: dict[str, Any] = {
        "title": "A01, profile 1, chair C1: what the joystick commands", "sides": sides,
        "dial_told": "the speed dial is at its top", "cautions": tuple(cautions("throw_left", old=60, new=45)),
    }  # fmt: skip
    return ResponseDrawing(**(values | change))


SHORTER = SHEET | {"throw_left": 45.0, "throw_right": 45.0}
BARE = {"deadband": 5.0, "throw_left": 50.0}
CASES = {
    "throws": lambda: drawn(SHEET, SHORTER, overlay=run()),
    "speeds": lambda: drawn(SHEET, SHEET | {"forward_speed_max": 60.0, "acceleration_max": 45.0}, overlay=run()),
    "same": lambda: drawn(SHEET, SHEET),
    "one": lambda: drawn(SHEET, dial=40.0),
    "bare": lambda: drawn(BARE),
    "gate": lambda: drawn(SHEET, overlay=run(measured=measure_gate(10, 4.1, start="flying"), trace=None, rise=None)),
    "unscaled run": lambda: drawn(SHEET, overlay=run(speed=None, rise=None, fall=None)),
    "other meaning": lambda: drawn(SHEET, SHORTER, definition=OTHER, dial=55.0),
    "wide deadband": lambda: drawn(SHEET, SHEET | {"deadband": 25.0, "deceleration_max": 45.0}),
    "small numbers": lambda: drawn(SHEET | {"forward_speed_max": 0.125}, SHEET | {"forward_speed_max": 0.5}),
    "lacking before": lambda: drawn({k: v for k, v in SHEET.items() if k != "throw_left"}, SHEET),
}
WIDTHS: tuple[Place, ...] = tuple(PLACES)
EVERY = [(name, width) for name in CASES for width in WIDTHS]


@pytest.mark.parametrize(("name", "width"), EVERY)
def test_no_text_is_wider_than_its_panel(name: str, width: Place) -> None:
    for panel, text, left, right, y in written(response_spec(CASES[name](), width=width)):
        assert left >= -0.5, (panel["name"], text)
        assert right <= panel["width"] + 0.5, (panel["name"], text)
        assert 0 <= y <= panel["height"], (panel["name"], text)


@pytest.mark.parametrize(("name", "width"), EVERY)
def test_no_two_texts_of_a_panel_overlap(name: str, width: Place) -> None:
    lines = list(written(response_spec(CASES[name](), width=width)))
    for i, (panel, text, left, right, y) in enumerate(lines):
        for other_panel, other, other_left, other_right, other_y in lines[i + 1 :]:
            if panel is other_panel and abs(y - other_y) < 9:
                assert right <= other_left or other_right <= left, (panel["name"], text, other)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ["throws", "bare", "gate"])
def test_svg_is_exactly_as_wide_as_its_place(name: str, width: Place) -> None:
    found = re.search(r'width="([\d.]+)"', to_svg(response_spec(CASES[name](), width=width)))
    assert found is not None and float(found.group(1)) == PLACES[width].total + 2 * MARGIN


@pytest.mark.parametrize("name", list(CASES))
def test_findings_model_and_cautions_are_words_of_the_drawing(name: str) -> None:
    drawing = CASES[name]()
    svg = to_svg(response_spec(drawing))
    said = plain(re.sub(r"<title>.*?</title>", "", svg, flags=re.S))
    for words in (*findings(drawing), *MODEL, GAIN, *drawing.cautions, drawing.dial_told, drawing.definition.words[1:]):
        assert plain(words) in said, words
    assert 'role="img"' in svg and plain(alt_text(drawing)) in plain(svg.split("</title>")[0].split("<title>")[1])


def test_before_and_after_differ_in_line_and_shape_and_lightness() -> None:
    def light(colour: str) -> float:
        return sum(w * int(colour[i : i + 2], 16) / 255 for i, w in ((1, 0.299), (3, 0.587), (5, 0.114)))

    assert SHAPES["before"] != SHAPES["after"] and DASHES["before"] != DASHES["after"]
    assert light(COLOURS["after"]) - light(COLOURS["before"]) > 0.25


def test_the_lines_are_the_model() -> None:
    """The pixels of the drawn corners, read back through the drawn grid, are the corners of the model."""
    spec = response_spec(CASES["throws"]())
    grid = {row["text"]: row["py"] for row in rows_of(spec, "left: values")}
    zero, forty = grid["0"], grid["40"]
    left = min(row["px"] for row in rows_of(spec, "left: ticks"))
    right = max(row["px2"] for row in rows_of(spec, "left: ground"))
    for role, throw in (("before", 0.60), ("after", 0.45)):
        corners = rows_of(spec, f"left: {role} corners")
        read = [((row["px"] - left) / (right - left), (zero - row["py"]) / (zero - forty) * 40) for row in corners]
        assert read == [pytest.approx((0.08, 0)), pytest.approx((throw, 45))], role


def test_a_run_is_laid_over_in_metres_and_seconds() -> None:
    forward = motion_plots(CASES["throws"]())[0]
    assert (forward.x_title, forward.y_title) == ("seconds after full command", "speed, m/s")
    model, measured = dict(forward.curves["before"]), forward.curves["measured"]
    # The same sheet as on the run: the model meets the measured plateau, and lets go when the run braked.
    assert max(model.values()) == pytest.approx(2.4, abs=0.02)
    assert max(t for t, v in model.items() if v > 1) == pytest.approx(5.0, abs=0.05)
    middle = [v for t, v in measured if 2.5 < t < 4.5]
    assert np.mean(middle) == pytest.approx(2.4, abs=0.02)
    ramp = CASES["throws"]().ramp(CASES["throws"]().sides[0], "forward")
    assert ramp is not None and ramp.stopping_distance == pytest.approx(DRIVEN.stopping_distance, rel=0.03)


def test_the_range_of_the_dial_is_drawn_and_said() -> None:
    one = {plot.name: plot for plot in curve_plots(CASES["one"]())}
    assert one["forward"].key[-1] == (("dial",), "dial from bottom to top: full is 30 to 80")
    # There along the curve of the bottom, and back along that of the top.
    assert [value for _, value in one["left"].curves["dial"]] == [0, 0, 20, 20, 45, 45, 0, 0]
    # By hand: at 40% of the dial, 30 + 0.4 * 50.
    assert max(value for _, value in one["forward"].curves["after"]) == pytest.approx(50)
    assert "dial" not in curve_plots(CASES["bare"]())[0].curves


@pytest.mark.parametrize("name", ["throws", "speeds", "other meaning", "wide deadband"])
def test_no_word_stands_on_a_curve(name: str) -> None:
    spec = response_spec(CASES[name](), width="page")
    for panel in panels(spec):
        own = panel["name"].removesuffix(" panel")
        lines = [rows_of(spec, f"{own}: {role} line") for role in ("before", "after")]
        for box in rows_of(spec, f"{own}: behind words"):
            for line in lines:
                assert not any(
                    box["px"] < a["px"] + s * (b["px"] - a["px"]) < box["px2"]
                    and box["py"] < a["py"] + s * (b["py"] - a["py"]) < box["py2"]
                    for a, b in pairwise(line)
                    for s in np.linspace(0, 1, 200)
                ), (own, box)


def test_without_a_run_nothing_is_called_seconds_or_metres() -> None:
    for plot in motion_plots(CASES["same"]()):
        assert plot.x_title.endswith("not seconds") and "own scale" in plot.y_title
    told = " ".join(words for section in sections(CASES["same"]()) for words in section.paragraphs)
    assert "It is not seconds" in told and "must be measured" in told


def test_a_run_over_a_gate_is_a_level_line_and_one_without_a_sheet_stands_alone() -> None:
    gate = motion_plots(CASES["gate"]())[0]
    assert {v for _, v in gate.curves["measured"]} == {10 / 4.1} and gate.y_title == "speed, m/s"
    assert gate.x_title.endswith("not seconds")
    assert max(v for _, v in gate.curves["after"]) == pytest.approx(80 * run().speed)  # type: ignore[operator]
    alone = motion_plots(CASES["unscaled run"]())[-1]
    assert alone.title == "Measured run" and "not the model" in alone.key[0][1]


def test_findings_name_the_gain_and_join_what_agrees() -> None:
    # By hand: (0.60 - 0.08) / (0.45 - 0.08) = 1.405.
    assert findings(CASES["throws"]()) == [
        "Left and right: the command is full at 45% of travel instead of 60%; near the centre it answers more "
        "strongly, 1.41 times as much for the same movement."
    ]
    assert findings(CASES["same"]()) == ["No curve of the model differs between the two sheets."]
    # By hand: 80/60 to 60/45 is the same time; stopping 80/70 to 60/70 is 0.75, and its square in distance.
    assert findings(CASES["speeds"]())[1] == (
        "Forward, in the model's time: stopping takes 0.75 times the time and 0.562 times the distance."
    )


def test_a_wider_deadband_is_said_to_raise_the_gain() -> None:
    told = findings(CASES["wide deadband"]())
    # By hand: forward (0.80 - 0.08) / (0.80 - 0.25) = 1.309; left (0.60 - 0.08) / (0.60 - 0.25) = 1.486.
    assert told[0].startswith("Forward and reverse: starts at 25% of travel instead of 8%; near the centre")
    assert "more strongly, 1.31 times" in told[0] and "1.49 times" in told[1]
    assert "stopping takes 1.56 times the time" in told[2]


def test_both_meanings_of_throw_are_offered() -> None:
    told = " ".join(words for section in sections(CASES["throws"]()) for words in section.paragraphs)
    # By hand: left (1 - 0.08) / (0.60 - 0.08) = 177%, and 249% at 45.
    assert "before: forward 128%, reverse 128%, left 177%" in told and "left 249%" in told
    assert "--throw-means at_full_travel" in told
    assert "--throw-means full_at" in " ".join(
        words for section in sections(CASES["other meaning"]()) for words in section.paragraphs
    )


def test_what_the_sheet_lacks_is_named() -> None:
    told = {section.heading: section.paragraphs for section in sections(CASES["bare"]())}
    assert "Forward: throw_forward is not on the sheet." in told["Not drawn"]
    one_side = {section.heading: section.paragraphs for section in sections(CASES["lacking before"]())}
    assert one_side["Not drawn"] == ("Before, Left: throw_left is not on the sheet.",)
    assert [plot.name for plot in curve_plots(CASES["bare"]())] == ["left"]


def test_the_page_holds_everything_itself() -> None:
    page = response_html(CASES["throws"]())
    assert "<script" not in page and "http" not in re.sub(r'xmlns[:\w]*="[^"]*"', "", page)
    assert page.count('role="img"') == 4 and page.count("<title>") == 5 and '<html lang="en">' in page
    said = plain(page)
    for words in (*findings(CASES["throws"]()), GAIN, *MODEL):
        assert words in said
    # The table behind the picture: at 30% of travel left gives (0.30 - 0.08) / 0.52 = 42.3% before, 59.5% after.
    row = re.search(r'<th scope="row">30</th>(.*?)</tr>', page)
    assert row is not None and re.findall(r"<td>([\d.]+)</td>", row.group(1))[4:6] == ["42.3", "59.5"]


def test_the_same_drawing_gives_the_same_page() -> None:
    assert response_html(CASES["speeds"]()) == response_html(CASES["speeds"]())


def test_words_from_a_sheet_cannot_become_markup() -> None:
    drawing = replace(CASES["same"](), title="<b>A01</b> & co")
    assert "<b>A01" not in response_html(drawing)


def test_parts_without_curves_are_left_out() -> None:
    assert part_spec(CASES["bare"](), "motions", width="page") is None
    assert all(part_spec(CASES["same"](), part, width="page") for part in PARTS)


def test_the_document_holds_unrounded_numbers() -> None:
    found = document(CASES["throws"]())
    left = found["sides"][1]["curves"]["left"]
    assert left["gain"] == pytest.approx(1 / 0.37, rel=1e-12)
    assert left["other_throw_percent"] == pytest.approx(92 / 0.37)
    assert found["sides"][0]["motions"]["forward"]["unit"] == "m, s" and found["run"]["stopping_distance_m"] is not None
    assert document(CASES["same"]())["run"] is None


def test_it_is_an_altair_chart_too() -> None:
    chart = response_picture(CASES["one"](), width="half")
    assert type(chart).__mro__[1].__name__ == "VConcatChart"
    assert len(list(panels(chart.to_dict()))) > 6
    assert set(get_args(get_args(Place)[0])) | {"page"} == set(PLACES)
