"""What else can happen to an athlete or a chair that may be mistaken for the effect of a setting."""

from __future__ import annotations

EVENTS: dict[str, str] = {
    "new_joystick": "another joystick",
    "calibration": "the joystick was calibrated",
    "seating": "the seating changed",
    "tyres": "the tyres changed, or their pressure",
    "battery": "another battery, or one that fails",
    "illness": "an illness, or its end",
    "growth": "the athlete has grown",
    "surface": "another floor",
    "timer": "another timer, or another way of timing",
    "other": "something else that may matter",
}
