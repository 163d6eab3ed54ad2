"""The numbers behind the picture of a response, unrounded, as plain data."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rampbook.charts.response_drawing import ResponseDrawing, Side
from rampbook.charts.response_words import findings
from rampbook.domain.throw import the_other, throw_number


def document(drawing: ResponseDrawing) -> dict[str, Any]:
    """Return every curve and motion of each sheet, the run, and what a throw number means."""
    overlay = drawing.overlay
    return {
        "title": drawing.title,
        "model": "straight outside the deadband, steady rates; not the chair's controller; it must be measured",
        "throw_definition": drawing.definition.id,
        "throw_definition_told": drawing.definition_told,
        "findings": findings(drawing),
        "changed": [
            {"setting": name, "before": old, "after": new} for name, (old, new) in (drawing.changed or {}).items()
        ],
        "sides": [_side(drawing, side) for side in drawing.sides],
        "run": overlay and {"told": overlay.told, "direction": overlay.direction} | asdict(overlay.measured),
        "cautions": list(drawing.cautions),
    }


def _side(drawing: ResponseDrawing, side: Side) -> dict[str, Any]:
    other = the_other(drawing.definition)
    return {
        "word": side.word,
        "told": side.told,
        "dial_percent": side.response.dial_percent,
        "curves": {
            way: {
                "deadband": curve.deadband, "throw": curve.throw, "gain": curve.gain, "full": curve.full,
                "other_throw_percent": throw_number(curve.throw, definition=other, deadband=curve.deadband),
            }
            for way, curve in side.response.curves.items()
        },
        "motions": {
            motion: {
                "unit": "m, s" if drawing.is_in_metres(motion) else "own scale",
                "speed": ramp.speed, "acceleration": ramp.rise, "deceleration": ramp.fall,
                "time_to_speed": ramp.time_to_speed, "distance_to_speed": ramp.distance_to_speed,
                "stopping_time": ramp.stopping_time, "stopping_distance": ramp.stopping_distance,
            }
            for motion in side.response.ramps
            if (ramp := drawing.ramp(side, motion)) is not None
        },
        "missing": {name: list(wanted) for name, wanted in side.response.missing.items()},
    }  # fmt: skip
