from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from rampbook.charts.free_room import FreeRoom
from rampbook.charts.marks import Axis
from rampbook.charts.strip_labels import Flag, place_labels
from rampbook.charts.text_fit import SAFETY, text_width, unbroken, wrap
from rampbook.charts.ticks import round_ticks, thin

WORDS = st.lists(st.text(alphabet="abcdefghijklmnop 80→", min_size=1, max_size=14), min_size=1, max_size=9).map(
    " ".join
)


def test_width_of_a_known_text() -> None:
    # Widths of Liberation Sans in thousandths: H 722, a 556, l 222, o 556.
    assert text_width("Halo", 10) / SAFETY == (722 + 556 + 222 + 556) / 100


@given(text=WORDS, width=st.floats(40, 400))
def test_wrapped_lines_fit_and_keep_every_letter(text: str, width: float) -> None:
    lines = wrap(text, width, 13)
    assert all(text_width(line, 13) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_a_change_of_value_is_not_broken_between_its_values() -> None:
    lines = wrap(unbroken("acceleration 80 → 65"), 90, 13)
    assert [line.replace("\u00a0", " ") for line in lines] == ["acceleration", "80 → 65"]


NAMES = ["tyres", "acceleration 80 → 65, 22 Feb", "new joystick and seating"]
FLAGS = st.lists(
    st.builds(
        Flag, x=st.floats(0, 680), text=st.sampled_from(NAMES),
        role=st.sampled_from(["change", "event", "gap"]),
    ),
    max_size=9,
)  # fmt: skip


@settings(deadline=None, max_examples=60)
@given(flags=FLAGS)
def test_labels_never_meet_each_other_or_a_line(flags: list[Flag]) -> None:
    placed, homeless = place_labels(flags, left=0.0, right=680.0, size=12)
    assert sorted([*(p.flag for p in placed), *homeless], key=repr) == sorted(flags, key=repr)
    for i, label in enumerate(placed):
        assert label.left >= 0
        assert label.right <= 680
        for other in placed[i + 1 :]:
            in_rows = label.row <= other.top_row and other.row <= label.top_row
            assert not (in_rows and label.left < other.right and other.left < label.right)
            for one, two in ((label, other), (other, label)):
                assert not (two.top_row >= one.row and one.left < two.flag.x < one.right)


def test_four_lines_near_each_other_are_all_named() -> None:
    near = ((192, "surface"), (200, "tyres"), (204, "battery"), (208, "seating"))
    flags = [Flag(x=x, text=text, role="event") for x, text in near]
    placed, homeless = place_labels(flags, left=0.0, right=680.0, size=12)
    assert len(placed) == 4
    assert homeless == []


@settings(deadline=None)
@given(boxes=st.lists(st.tuples(st.floats(0, 380), st.floats(0, 180)), max_size=40))
def test_free_room_is_free(boxes: list[tuple[float, float]]) -> None:
    room = FreeRoom(0, 0, 400, 200)
    for x, y in boxes:
        room.take(x, y, x + 20, y + 20)
    found = room.find(60, 15, lambda left, top: left + top)
    if found is not None:
        left, top = found
        assert not any(left < x + 20 and x < left + 60 and top < y + 20 and y < top + 15 for x, y in boxes)


def test_full_plot_has_no_free_room() -> None:
    room = FreeRoom(0, 0, 100, 100)
    room.take(0, 0, 100, 100)
    assert room.find(20, 10, lambda left, top: 0.0) is None


def test_line_is_taken_along_its_whole_length() -> None:
    room = FreeRoom(0, 0, 100, 100)
    room.take_line([(0, 50), (100, 50)])
    found = room.find(60, 8, lambda left, top: abs(top + 4 - 50))
    assert found is not None
    assert found[1] + 8 <= 50 or found[1] >= 50


@given(low=st.floats(-50, 50), spread=st.floats(0.01, 500), most=st.integers(3, 9))
def test_ticks_are_round_inside_and_few(low: float, spread: float, most: int) -> None:
    ticks = round_ticks(low, low + spread, at_most=most)
    assert 1 <= len(ticks) <= most + 1
    assert all(low - 1e-6 * spread <= tick <= low + spread * (1 + 1e-6) for tick in ticks)


def test_names_of_two_hundred_practices_are_thinned_until_they_do_not_touch() -> None:
    places = [3.2 * i for i in range(200)]
    labels = [f"{i % 28 + 1} Mar" for i in range(200)]
    shown = thin(places, labels, 12)
    assert 5 < len(shown) < 20
    assert min(b - a for a, b in pairwise(shown)) * 3.2 > text_width("28 Mar", 12)


def test_axis_puts_values_where_its_specification_does() -> None:
    axis = Axis(low=0, high=10, start=40, end=240)
    assert axis.at(5) == 140
    assert axis.kept(12) == 10
    assert axis.spec("value")["scale"] == {"domain": [0, 10], "range": [40, 240], "nice": False, "zero": False}
