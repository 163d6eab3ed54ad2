"""What a measured run may be: which way it was driven, and how its distance began."""

from __future__ import annotations

RUN_DIRECTIONS = ("forward", "reverse")
RUN_STARTS = {
    "standing": "from rest at the start of the distance",
    "flying": "at speed when the distance began",
}
