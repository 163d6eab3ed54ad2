"""The words of the picture of a response: what differs, what is a model, and what must be measured."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import Literal

from rampbook.charts.response_drawing import Overlay, ResponseDrawing, Side
from rampbook.charts.ticks import number
from rampbook.charts.words_panel import Section
from rampbook.domain.motion import Ramp
from rampbook.domain.response import MOTIONS, WAYS, DirectionCurve
from rampbook.domain.run_words import measure_lines
from rampbook.domain.throw import the_other, throw_number

MODEL = (
    "A plain model, not your chair's controller: the command is (travel − deadband) ÷ (throw − deadband), held between "
    "0 and 100%, each direction on its own; then speed rises and falls at one steady rate. A chair may shape both "
    "otherwise.",
    "The real chair must be measured before anything is read off here.",
)
GAIN = (
    "Changing throw or deadband also changes the gain near the centre: the same small movement then commands more or "
    "less. One change at a time keeps the settings apart, not everything that is felt."
)
PROPORTION = (
    "Metres and seconds come from that run, and from taking speed and rates to grow in proportion to the chair's "
    "numbers. Measure again after a change."
)
# A difference smaller than this is a matter of rounding.
_SAME = 1e-9
# Between a number and its unit: never broken into two lines.
JOIN = "\N{NO-BREAK SPACE}"
A_MODEL = "A model: the real chair must be measured."
Part = Literal["curves", "motions"]
PARTS: tuple[Part, Part] = ("curves", "motions")
NAMES = {"forward": "Forward", "reverse": "Reverse", "left": "Left", "right": "Right", "turn": "Turn"}


def rounded(value: float, digits: int = 3) -> str:
    """Write a value with few figures and a true minus sign."""
    return number(float(f"{value:.{digits}g}"))


def percent(share: float) -> str:
    """Write a share as percent, to a tenth."""
    return f"{number(round(100 * share, 1))}%"


def findings(drawing: ResponseDrawing) -> list[str]:
    """Say what differs between the two sheets, or what the one sheet answers; directions that agree are joined."""
    lines = [line for part in PARTS for line in part_findings(drawing, part)]
    return lines or ["No curve of the model differs between the two sheets."]


def part_findings(drawing: ResponseDrawing, part: Part) -> list[str]:
    """Say the same of the curves alone, or of the motions alone; nothing where nothing differs."""
    if len(drawing.sides) == 1:
        response = drawing.sides[0].response
        told = [(NAMES[way], curve_words(curve)) for way, curve in response.curves.items()] if part == "curves" else []
    elif part == "curves":
        told = [(NAMES[way], words) for way in WAYS if (words := _curve_change(drawing, way))]
    else:
        told = [(NAMES[motion], words) for motion in MOTIONS if (words := _motion_change(drawing, motion))]
    where = ", in the model's time" if part == "motions" else ""
    return [f"{names}{where}: {words}." for names, words in _joined(told)]


def curve_words(curve: DirectionCurve) -> str:
    """Say where a curve starts and where it is full."""
    return f"starts at {percent(curve.deadband)}, {_end_words(curve)}, gain {rounded(curve.gain)}"


def _end_words(curve: DirectionCurve) -> str:
    """Say where the command is full, or how much there is when it never is."""
    if curve.throw <= 1:
        return f"full at {percent(curve.throw)} of travel"
    return f"{percent(curve.share(1.0))} at the end of travel"


def ramp_words(ramp: Ramp, *, in_metres: bool) -> str:
    """Say how a motion comes and goes."""
    if in_metres:
        return (
            f"{ramp.speed:.2f}{JOIN}m/s after {ramp.time_to_speed:.2f}{JOIN}s; "
            f"stops in {ramp.stopping_time:.2f}{JOIN}s over {ramp.stopping_distance:.2f}{JOIN}m"
        )
    return (
        f"speed {rounded(ramp.speed)} after {rounded(ramp.time_to_speed)}; stops in {rounded(ramp.stopping_time)}"
    )


def sections(drawing: ResponseDrawing) -> list[Section]:
    """Give the words that stand under the curves."""
    found = [
        Section(heading="What this is", paragraphs=MODEL),
        Section(heading="Units", paragraphs=tuple(_units(drawing))),
        Section(heading="What a throw number means here", paragraphs=tuple(_throws(drawing))),
        Section(heading="Mind", paragraphs=(GAIN,)),
    ]
    if drawing.overlay is not None:
        lines = measure_lines(drawing.overlay.measured)
        told = (f"{drawing.overlay.told}.", *lines, _proportion(drawing.overlay))
        found.append(Section(heading="Measured", paragraphs=told))
    found.append(Section(heading="Not drawn", paragraphs=tuple(_missing(drawing))))
    found.append(Section(heading="Before anything is changed", paragraphs=drawing.cautions))
    return [section for section in found if section.paragraphs]


def _proportion(overlay: Overlay) -> str:
    """Say where metres and seconds come from, or why there are none."""
    if overlay.is_timed:
        return PROPORTION
    if overlay.speed:
        return PROPORTION.replace("Metres and seconds come", "Metres a second come") + " Time stays the model's clock."
    if not overlay.measured.is_steady:
        return "The chair's scale is not put in metres by it, since it does not show the speed that was held."
    return "The chair's scale is not put in metres by it: the sheet of that day does not say what was driven."


def alt_text(drawing: ResponseDrawing) -> str:
    """Say the picture in words: what it is of, what differs, and that it is a model."""
    shown = "Curves of command against joystick travel, and of speed against time"
    return f"{drawing.title}. {shown}. {_sheets(drawing)} {' '.join(findings(drawing))}{_laid_over(drawing)} {A_MODEL}"


def part_alt_text(drawing: ResponseDrawing, part: Part) -> str:
    """Say one part of the picture in words."""
    shown = {"curves": "Command against joystick travel", "motions": "Speed against time, pushed to full and let go"}
    said = " ".join(part_findings(drawing, part)) or "The two sheets do not differ here."
    said = said if len(drawing.sides) == 2 or part == "curves" else ""
    run = _laid_over(drawing) if part == "motions" else ""
    return " ".join(f"{drawing.title}. {shown[part]}. {_sheets(drawing)} {said}{run} {A_MODEL}".split())


def _sheets(drawing: ResponseDrawing) -> str:
    return " ".join(f"{side.word.capitalize()}: {side.told}." for side in drawing.sides)


def _laid_over(drawing: ResponseDrawing) -> str:
    return f" Laid over it: {drawing.overlay.told}." if drawing.overlay else ""


def _joined(told: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Join the names of neighbours that say the same: "Left and right"."""
    found = []
    for words, ones in groupby(told, key=lambda one: one[1]):
        names = [name for name, _ in ones]
        rest = [name.lower() for name in names[1:]]
        found.append((", ".join([names[0], *rest[:-1]]) + (f" and {rest[-1]}" if rest else ""), words))
    return found


def _curve_change(drawing: ResponseDrawing, way: str) -> str:
    old, new = (side.response.curves.get(way) for side in drawing.sides)
    if old is None or new is None:
        return ""
    parts = []
    if _differ(old.deadband, new.deadband):
        parts.append(f"starts at {percent(new.deadband)} of travel instead of {percent(old.deadband)}")
    if _differ(old.throw, new.throw):
        end = percent(old.throw) if max(old.throw, new.throw) <= 1 else _end_words(old)
        parts.append(f"the command is {_end_words(new)} instead of {end}")
    if old.full and new.full and _differ(old.full, new.full):
        parts.append(f"full command is worth {rounded(new.full)} instead of {rounded(old.full)}")
    if _differ(old.gain, new.gain):
        ratio = new.gain / old.gain
        how = "more" if ratio > 1 else "less"
        parts.append(f"near the centre it answers {how} strongly, {rounded(ratio)} times as much for the same movement")
    return "; ".join(parts)


def _motion_change(drawing: ResponseDrawing, motion: str) -> str:
    old, new = (drawing.ramp(side, motion) for side in drawing.sides)
    if old is None or new is None:
        return ""
    parts = []
    if _differ(old.time_to_speed, new.time_to_speed):
        parts.append(f"{rounded(new.time_to_speed / old.time_to_speed)} times as long to reach its speed")
    stops = {
        "time": (old.stopping_time, new.stopping_time),
        "angle" if motion == "turn" else "distance": (old.stopping_distance, new.stopping_distance),
    }
    told = [f"{rounded(b / a)} times the {name}" for name, (a, b) in stops.items() if _differ(a, b)]
    if told:
        parts.append(f"stopping takes {' and '.join(told)}")
    return "; ".join(parts)


def _differ(old: float, new: float) -> bool:
    return abs(new - old) > _SAME * max(abs(old), abs(new))


def _units(drawing: ResponseDrawing) -> list[str]:
    lines = [
        "Travel: percent of the joystick's own travel.",
        f"Commands: the chair's own scale, not metres a second; {drawing.dial_told}.",
        "Gain: full commands for one whole travel, 1 ÷ (throw − deadband).",
    ]
    if any(not drawing.is_in_metres(motion) for side in drawing.sides for motion in side.response.ramps):
        lines.append(
            "Model's clock: a speed divided by a rate of the chair's own scale. It is not seconds; only the comparison "
            "of two curves means something, until a run is measured (rampbook run)."
        )
    return lines


def _throws(drawing: ResponseDrawing) -> list[str]:
    other = the_other(drawing.definition)
    words = drawing.definition.words
    lines = [f"{words[0].upper()}{words[1:]} ({drawing.definition_told})."]
    for side in drawing.sides:
        said = ", ".join(
            f"{way} {rounded(throw_number(curve.throw, definition=other, deadband=curve.deadband))}%"
            for way, curve in side.response.curves.items()
        )
        if said:
            lines.append(f"The same curves by the other meaning, {side.word}: {said}.")
    lines.append(f"The other meaning: {other.words}. If your chair means that, draw with --throw-means {other.id}.")
    return lines


def _missing(drawing: ResponseDrawing) -> list[str]:
    """Name what is not drawn and the settings that the sheet lacks for it."""
    lines = []
    for side in drawing.sides:
        told = [(name, ", ".join(wanted)) for name, wanted in side.response.missing.items()]
        lines += [
            f"{_side_of(drawing, side)}{names}: {wanted} {'are' if ',' in wanted else 'is'} not on the sheet"
            f"{', or 0' if ' in time' in names else ''}."
            for names, wanted in _joined((name.capitalize(), wanted) for name, wanted in told)
        ]
    return list(dict.fromkeys(lines))


def _side_of(drawing: ResponseDrawing, side: Side) -> str:
    """Name the side where only one of two lacks something."""
    if len(drawing.sides) == 1 or drawing.sides[0].response.missing == drawing.sides[1].response.missing:
        return ""
    return f"{side.word.capitalize()}, "
