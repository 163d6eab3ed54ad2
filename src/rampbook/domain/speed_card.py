"""What is known of a chair's speed in one direction: the latest measurement, its margin, and whether it is stale."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from rampbook.domain.speed import DIRECTIONS, METHODS, PRACTICE, Judged, SpeedLimit
from rampbook.domain.staleness import Doubt

ONLY_ROLLERS = (
    "In a match test only rollers can measure backward (national notice of the rule). A gate driven backward in a "
    "clear space is the club's own check, no more."
)
_FULL_DIAL = 100.0
# Twice the limit is more often a slip of the pen than a chair (common practice, no source).
_HARD_TO_BELIEVE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedCard:
    """One direction of one profile.

    ``measured`` is the fastest passage of the latest day that has one, as the store gives it, None without any;
    ``n`` is how many there were that day. ``doubts`` is what happened since that could have moved the speed.
    """

    direction: str
    profile: int
    limit: SpeedLimit
    measured: dict[str, Any] | None = None
    judged: Judged | None = None
    n: int = 0
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_above(self) -> bool:
        """Whether the measurement does not pass."""
        return self.judged is not None and not self.judged.passes

    @property
    def is_stale(self) -> bool:
        """Whether something since could have moved the speed."""
        return bool(self.doubts)

    @property
    def state(self) -> str:
        """``not measured``, ``above the limit``, ``stale``, or ``passes``, the gravest that holds."""
        if self.judged is None:
            return "not measured"
        return "above the limit" if self.is_above else "stale" if self.is_stale else "passes"

    @property
    def measured_on(self) -> date | None:
        """The day of the measurement."""
        return None if self.measured is None else self.measured["on"]

    @property
    def lower_this(self) -> str:
        """The setting that slows the chair in this direction at the dial position measured at."""
        at_the_bottom = self.measured is not None and self.measured["dial_percent"] == 0
        return f"{self.direction}_speed_{'min' if at_the_bottom else 'max'}"

    def notes(self) -> list[str]:
        """Return what a person should know of this measurement, in sentences."""
        if self.measured is None or self.judged is None:
            return [ONLY_ROLLERS] if self.direction == "reverse" else []
        found = []
        if self.judged.kmh > _HARD_TO_BELIEVE * self.limit.kmh:
            found.append(f"{self.judged.kmh:.1f} km/h is hard to believe: check the metres and the seconds first.")
        if self.judged.passes:
            # Nobody is asked to turn the dial up on a chair that is above the limit already.
            found += _dial_note(self.measured["dial_percent"])
        if not self.judged.clear:
            found.append(
                "The timing error could turn this result over: measure again, with electronic gates if you can, and "
                "leave more room below the limit."
            )
        if self.measured["method"] == "stopwatch":
            low, high = METHODS["stopwatch"].reads_short_s or (0.0, 0.0)
            found.append(
                f"A hand mostly stops the clock {low:g} to {high:g} s early, so a stopwatch reads a chair too fast. "
                "That is not taken off here."
            )
        if self.direction == "reverse" and self.measured["method"] != "rollers":
            found.append(ONLY_ROLLERS)
        return found

    def to_dict(self) -> dict[str, Any]:
        """Return the parts for JSON, unrounded."""
        judged = self.judged
        return {
            "direction": self.direction, "profile": self.profile, "state": self.state, "stale": self.is_stale,
            "limit": limit_dict(self.limit), "passes_that_day": self.n,
            "measured": None if self.measured is None or judged is None else pass_dict(self.measured, judged),
            "since": [{"on": d.on, "what": d.what, "why": d.why} for d in self.doubts], "notes": self.notes(),
        }  # fmt: skip


def limit_dict(limit: SpeedLimit) -> dict[str, Any]:
    """Return a limit for JSON; ``gate_kmh`` is the line that a passage is held against."""
    return {"limit_kmh": limit.kmh, "gate_m": limit.gate_m, "gate_s": limit.gate_s, "gate_kmh": limit.gate_kmh}


def pass_dict(row: dict[str, Any], judged: Judged) -> dict[str, Any]:
    """Return one measurement for JSON, with how it was judged."""
    said = {name: value for name, value in row.items() if name != "logged_at"}
    return said | {
        "kmh": judged.kmh, "kmh_low": judged.low, "kmh_high": judged.high, "margin_kmh": judged.margin_kmh,
        "margin_low": judged.margin_low, "margin_high": judged.margin_high, "timing_error_s": judged.error_s,
        "passes": judged.passes, "result": judged.result, "tells": judged.tells,
    }  # fmt: skip


def margin_words(judged: Judged) -> str:
    """Return the margin to the limit with its range, km/h."""
    low = "?" if judged.margin_low is None else f"{judged.margin_low:+.2f}"
    return f"{judged.margin_kmh:+.2f} ({low} to {judged.margin_high:+.2f})"


def result_words(judged: Judged) -> str:
    """Return the result as read, and whether the timing error could turn it over."""
    return judged.result if judged.clear else f"{judged.result} as read; {judged.tells}"


def measured_words(row: dict[str, Any]) -> str:
    """Return what was measured, and how."""
    how = METHODS[row["method"]].words + (f" ({row['timer']})" if row["timer"] else "")
    if row["gate_m"] is None:
        return f"{row['speed_kmh']:.12g} km/h read off {how}"
    return f"{row['gate_m']:.12g} m in {row['seconds']:.12g} s {how}"


def error_words(method: str, direction_limit: SpeedLimit) -> str:
    """Return where the timing error of a method comes from, and what it is at the limit."""
    of = METHODS[method]
    if method == "rollers":
        return f"{of.words}: ±{1.96 * of.spread_kmh:.2f} km/h, 95% ({of.source}; read your rollers' own sheet)"
    extent = f"±{1.96 * of.spread_s:.2f} s, 95%"
    at = ""
    if direction_limit.gate_s is not None:
        off = direction_limit.gate_kmh * 1.96 * of.spread_s / direction_limit.gate_s
        at = f", about ±{off:.2f} km/h at the limit's own gate"
    return f"{of.words}: {extent}{at} ({of.source})"


def direction_word(direction: str) -> str:
    """Return a direction with a capital letter."""
    return DIRECTIONS[direction].capitalize()


def margin_formula() -> str:
    """Return how the margin and its range are computed."""
    return (
        "km/h = metres / seconds x 3.6. Margin = the gate's own speed less the speed measured. Its range moves the "
        f"time by its error either way; the gate's length is taken as exact ({PRACTICE})."
    )


def _dial_note(dial_percent: float | None) -> list[str]:
    if dial_percent is None:
        return ["The position of the speed dial was not noted: the test counts with the dial at its top (--dial 100)."]
    if dial_percent < _FULL_DIAL:
        return [
            f"Measured with the dial at {dial_percent:g}%: further up, the chair may go over the limit. The "
            "test counts with the dial at its top, in a clear space."
        ]
    return []
