"""Moving to another chair: what carries over is goals and measured behaviour, never a number of another scale.

The order in which the settings of a new chair are approached, what is measured at each, and when to stop: common
practice, no source. How it stops and how it feels at rest come before how fast it goes. Plain data, and no number of
any chair's scale among it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Behaviour:
    """Something of a chair that can be measured in metres, seconds or degrees, so that it carries over.

    ``how`` says how to measure and log it; its ``{athlete}`` is filled in.
    """

    id: str
    name: str
    unit: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One behaviour as it was measured; ``changed_since`` says that a setting of the profile was changed later."""

    behaviour: Behaviour
    value: float
    on: date
    how: str
    changed_since: bool = False

    @property
    def words(self) -> str:
        """The value with its day and how it was measured."""
        later = "; a setting was changed since, so measure again" if self.changed_since else ""
        return f"{self.behaviour.name}: {self.value:.3g} {self.behaviour.unit} ({self.on}, {self.how}{later})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Yardstick:
    """What practice showed on one chair: the middle of the last practices with an outcome, and their range."""

    outcome: str
    unit: str
    middle: float
    low: float
    high: float
    n: int
    last_on: date

    @property
    def words(self) -> str:
        """The middle with its range, and on how many practices it rests."""
        rests = f"{self.n} practice{'' if self.n == 1 else 's'} to {self.last_on}"
        return f"{self.outcome}: {self.middle:.3g} {self.unit} (last {rests}, {self.low:.3g} to {self.high:.3g})"


@dataclass(frozen=True, slots=True, kw_only=True)
class StartValue:
    """A value that a chair came with, on its own scale, and the value it has now."""

    setting: str
    value: float
    on: date
    now: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Approach:
    """One step of the order: the settings it is about (their names without _max or _min), one of them at a time.

    ``behaviours`` are the ids that the old and the new chair are compared by. ``quickens`` says that raising one of
    them makes the chair quicker.
    """

    id: str
    name: str
    settings: tuple[str, ...]
    measure: str
    stop_when: str
    behaviours: tuple[str, ...] = ()
    quickens: bool = False


_TRACE = "a speed trace from rest, full, to rest: rampbook run {athlete} --profile N --trace FILE"
_PASS = (
    "three passes of a gate each way: rampbook speed {athlete} --profile N --direction forward (or reverse) --gate M "
    "--seconds S --method stopwatch"
)
_TURN = (
    "the time of one full turn on the spot, three times each way: rampbook practice {athlete} --profile N "
    "--drill full_turn_left (or full_turn_right) --seconds S"
)

BEHAVIOURS: dict[str, Behaviour] = {
    behaviour.id: behaviour
    for behaviour in (
        Behaviour(id="stopping_distance", name="stopping distance", unit="m", how=_TRACE),
        Behaviour(id="time_to_speed", name="time to 90% of its speed", unit="s", how=_TRACE),
        Behaviour(id="turn_rate_left", name="turn rate to the left", unit="degrees/s", how=_TURN),
        Behaviour(id="turn_rate_right", name="turn rate to the right", unit="degrees/s", how=_TURN),
        Behaviour(id="speed_reverse", name="speed backward", unit="km/h", how=_PASS),
        Behaviour(id="speed_forward", name="speed forward", unit="km/h", how=_PASS),
    )
}
# A drill of this name holds the seconds for one full turn on the spot.
FULL_TURN = {"full_turn_left": "turn_rate_left", "full_turn_right": "turn_rate_right"}

BEFORE = (
    "Read every profile of the new chair and log it as its start sheet. The values that the supplier or maker set are "
    "the way back: keep them, and leave them alone until step 1.",
    "Have the joystick centred or calibrated as the maker says, and log it: "
    "rampbook event {athlete} --event calibration.",
    "On the lowest profile, drill the stop: letting go of the joystick, the word agreed, and the off-switch within "
    "the spotter's reach.",
    "Drive two or three practices on the start values before anything is changed: that is the new baseline.",
)
ORDER: tuple[Approach, ...] = (
    Approach(
        id="stopping", name="How it stops", settings=("deceleration",),
        measure="stopping distance, forward and backward; ask for comfort and control (0 to 10)",
        stop_when="the chair stops within the room the athlete needs, and head and trunk stay quiet",
        behaviours=("stopping_distance",),
    ),
    Approach(
        id="ending_a_turn", name="How a turn ends", settings=("turn_deceleration",),
        measure="stop at a mark from a turn, each way: how often it swings past; ask for control",
        stop_when="the turn ends where the athlete lets go, both ways",
    ),
    Approach(
        id="rest", name="The hand at rest", settings=("deadband",),
        measure="the hand rests on the joystick for 30 s, three times: count how often the chair moves",
        stop_when="it does not move at rest, and answers as soon as the athlete means it to",
    ),
    Approach(
        id="reach", name="The reach of the joystick",
        settings=("throw_forward", "throw_reverse", "throw_left", "throw_right"),
        measure="full command reached in that direction or not, three tries; ask for comfort; one direction at a time",
        stop_when="the athlete reaches full command in that direction without strain or leaning",
    ),
    Approach(
        id="starting", name="How it starts", settings=("acceleration",),
        measure="time to speed; ask for comfort and control; touches in a drill with starts and stops",
        stop_when="starts feel right to the athlete; or touches rise, or comfort or control falls",
        behaviours=("time_to_speed",), quickens=True,
    ),
    Approach(
        id="beginning_a_turn", name="How a turn begins", settings=("turn_acceleration",),
        measure="a slalom or gate drill, times and touches together; ask for control",
        stop_when="times and touches stand still over three practices, or control falls",
        quickens=True,
    ),
    Approach(
        id="turning", name="How fast it turns", settings=("turn_speed",),
        measure="time of one full turn on the spot, each way; a gate drill, times and touches",
        stop_when="the athlete stops the turn where they mean to, each way; more is not better",
        behaviours=("turn_rate_left", "turn_rate_right"), quickens=True,
    ),
    Approach(
        id="backward", name="How fast it drives backward", settings=("reverse_speed",),
        measure="speed backward, with its margin to the limit; stopping distance backward again",
        stop_when="it is within the limit with room for the timing error, and the athlete sees and stops safely",
        behaviours=("speed_reverse",), quickens=True,
    ),
    Approach(
        id="forward", name="How fast it drives forward, last of all", settings=("forward_speed",),
        measure="speed forward, with its margin to the limit; stopping distance again",
        stop_when="it is within the limit with room for the timing error, and every step above still holds",
        behaviours=("speed_forward",), quickens=True,
    ),
)  # fmt: skip
EACH_STEP = (
    "One setting, one small step, then at least three practices before the next one; log it with rampbook change "
    "--planned, and ask rampbook effect.",
    "Where the new chair already behaves as the athlete needs, leave the setting alone: that step is done.",
    "What the old chair did is what the athlete is used to. It is no target, and no reason to raise a speed.",
)
STOP_RULE = (
    "Any tip, movement that nobody meant, pain, or a chair that does not stop: go back to the start value, log it, and "
    "try nothing more that day."
)
QUICKENS = "A step up here makes the chair quicker: clear space, spotter, agreed stop, and measure before play."
NEW_BASELINE = (
    "The new chair starts a new baseline. Its practices and its settings are never pooled, or compared number by "
    "number, with those of the old chair."
)


def steps_for(settings: set[str]) -> list[tuple[Approach, list[str]]]:
    """Return the order with the settings of a sheet that each step is about; without a sheet, by their plain names.

    Settings that a club has added belong to no step and are left out.
    """
    out = []
    for approach in ORDER:
        mine = [name for stem in approach.settings for name in (stem, f"{stem}_max", f"{stem}_min") if name in settings]
        if mine or not settings:
            out.append((approach, mine))
    return out
