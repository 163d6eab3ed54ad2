"""What happened in the invented club: who drives, what was changed, and what each change truly did.

Nobody in it exists. ``TRUTHS`` is what the demo is judged against; ``BAD_ROWS`` are the rows that are
wrong on purpose.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

SEED = 20250901
SEASON_FROM, SEASON_TO = date(2025, 9, 2), date(2026, 5, 28)
BREAK_FROM, BREAK_TO = date(2025, 12, 20), date(2026, 1, 10)
PRACTICE_WEEKDAYS = (1, 3, 5)  # Tuesday, Thursday, Saturday; a change is made the day before, never on one

MATCH, ROAD = 2, 1

# name: usual seconds, touches an attempt, time limit in seconds
DRILLS: dict[str, tuple[float, float, float | None]] = {
    "gate": (12.0, 0.5, 20.0),
    "slalom": (16.0, 0.9, 19.0),
    "figure8": (21.0, 0.6, 30.0),
    "sprint": (6.2, 0.1, None),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One athlete: how many practices, how fast learning runs (share of the time a practice), how quick."""

    athlete: str
    birth_year: int
    n_practices: int
    learning: float
    pace: float
    timer: str
    compares: str | None = None  # a drill also driven on the untouched road profile


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One change as logged; ``before`` is the number of the first practice driven with the new value."""

    change: str
    athlete: str
    before: int
    setting: str
    old: float
    new: float
    role: str
    reason: str
    planned: int = 1
    goes_back_to: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What one change did to one outcome.

    ``effect`` belongs to the setting alone: a ratio (new over old), or points for ratings. ``shift`` is all
    that happened after the change beyond learning, so it differs where something else happened too.
    ``ceiling`` is the strongest rung that the record can carry.
    """

    change: str
    outcome: str
    effect: float
    scale: str
    shift: float
    ceiling: str
    story: str
    may_say: str
    touches: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BadRow:
    """A row that is wrong on purpose, and why; its cells in the table's order, with commas between."""

    table: str
    why: str
    cells: str


# fmt: off
MEMBERS = (
    Member(athlete="K01", birth_year=2007, n_practices=42, learning=-0.005, pace=1.0,
        timer="light gates", compares="gate"),
    Member(athlete="K02", birth_year=2004, n_practices=46, learning=-0.005, pace=1.08, timer="hand S2"),
    Member(athlete="K03", birth_year=2009, n_practices=38, learning=-0.006, pace=1.12, timer="hand S1"),
    Member(athlete="K04", birth_year=2001, n_practices=44, learning=-0.005, pace=0.94,
        timer="light gates"),
    Member(athlete="K05", birth_year=2010, n_practices=34, learning=-0.01, pace=1.1, timer="hand S1"),
    Member(athlete="K06", birth_year=2005, n_practices=40, learning=-0.006, pace=0.98,
        timer="light gates"),
    Member(athlete="K07", birth_year=1998, n_practices=30, learning=-0.005, pace=1.05, timer="hand S2"),
    Member(athlete="K08", birth_year=2006, n_practices=32, learning=-0.005, pace=0.9,
        timer="light gates"),
)

STEPS = (
    Step(change="C01", athlete="K01", before=21, setting="acceleration_max", old=60, new=68,
        role="coach", reason="slow out of the gates"),
    Step(change="C02", athlete="K02", before=15, setting="acceleration_max", old=55, new=65,
        role="coach", reason="late to the ball from rest"),
    Step(change="C03", athlete="K02", before=31, setting="turn_deceleration_max", old=60, new=66,
        role="technician", reason="wanted to see whether turns stop cleaner"),
    Step(change="C04", athlete="K03", before=14, setting="turn_speed_max", old=45, new=60, role="coach",
        reason="turns felt slow"),
    Step(change="C05", athlete="K03", before=27, setting="turn_speed_max", old=60, new=45, role="coach",
        reason="more collisions than before", planned=0, goes_back_to="C04"),
    Step(change="C06", athlete="K04", before=13, setting="turn_speed_max", old=45, new=50,
        role="technician", reason="gates taken too wide", planned=0),
    Step(change="C07", athlete="K04", before=13, setting="turn_acceleration_max", old=55, new=62,
        role="technician", reason="gates taken too wide", planned=0),
    Step(change="C08", athlete="K04", before=28, setting="throw_left", old=100, new=85, role="therapist",
        reason="passes to the left fall short"),
    Step(change="C09", athlete="K05", before=17, setting="deceleration_max", old=70, new=62,
        role="therapist", reason="stops feel hard on the neck"),
    Step(change="C10", athlete="K06", before=10, setting="turn_acceleration_max", old=55, new=65,
        role="coach", reason="trial: there and back"),
    Step(change="C11", athlete="K06", before=20, setting="turn_acceleration_max", old=65, new=55,
        role="coach", reason="trial: there and back", goes_back_to="C10"),
    Step(change="C12", athlete="K06", before=30, setting="turn_acceleration_max", old=55, new=65,
        role="coach", reason="trial: there and back, again", goes_back_to="C11"),
    Step(change="C13", athlete="K07", before=13, setting="deadband", old=8, new=6, role="technician",
        reason="small movements were lost", planned=0),
    Step(change="C14", athlete="K07", before=28, setting="turn_speed_max", old=45, new=52, role="coach",
        reason="wider turns than the others"),
    Step(change="C15", athlete="K08", before=16, setting="turn_speed_max", old=45, new=52,
        role="coach", reason="slow between the cones"),
)
# fmt: on
JOYSTICK = ("K07", 17, 0.86)  # athlete, first practice with it, what it alone did to every drill

# fmt: off
TRUTHS = (
    Truth(change="C01", outcome="drill:gate", effect=0.88, scale="ratio", shift=0.88, ceiling="compared",
        story="helped; the same drill was driven on an untouched profile",
        may_say="faster than the untouched profile would suggest"),
    Truth(change="C02", outcome="drill:sprint", effect=0.8, scale="ratio", shift=0.8,
        ceiling="before-after", story="helped", may_say="faster after than the earlier trend predicts"),
    Truth(change="C03", outcome="drill:gate", effect=1.0, scale="ratio", shift=1.0,
        ceiling="before-after", story="did nothing", may_say="no worthwhile difference, or cannot tell"),
    Truth(change="C04", outcome="collisions", effect=2.4, scale="ratio", shift=2.4, ceiling="repeated",
        story="did harm, and was taken back",
        may_say="more collisions with the new value than with the old"),
    Truth(change="C06", outcome="drill:gate", effect=0.93, scale="ratio", shift=0.86, ceiling="noted",
        story="two settings on one day", may_say="something changed; not which of the two did it"),
    Truth(change="C07", outcome="drill:gate", effect=0.93, scale="ratio", shift=0.86, ceiling="noted",
        story="two settings on one day", may_say="something changed; not which of the two did it"),
    Truth(change="C08", outcome="passes", effect=5.0, scale="ratio", shift=5.0, ceiling="before-after",
        story="helped passes", may_say="more often successful than the earlier trend predicts"),
    Truth(change="C09", outcome="drill:gate", effect=1.0, scale="ratio", shift=1.0,
        ceiling="before-after", story="did nothing to times; learning makes it look as if it did",
        may_say="no worthwhile difference, or cannot tell"),
    Truth(change="C09", outcome="comfort", effect=2.2, scale="points", shift=2.2, ceiling="before-after",
        story="helped comfort", may_say="rated higher after than the earlier trend predicts"),
    Truth(change="C10", outcome="drill:slalom", effect=0.86, scale="ratio", shift=0.86,
        ceiling="repeated", story="helped; planned there and back, and again",
        may_say="faster; it came and went with the setting"),
    Truth(change="C13", outcome="drill:gate", effect=1.0, scale="ratio", shift=0.86, ceiling="noted",
        story="did nothing; a new joystick came in between",
        may_say="not told apart from the new joystick"),
    Truth(change="C14", outcome="drill:figure8", effect=0.88, scale="ratio", shift=0.88, ceiling="noted",
        story="helped, but the season ended", may_say="noted; too few practices to compare"),
    Truth(change="C15", outcome="drill:slalom", effect=0.86, scale="ratio", shift=0.86,
        ceiling="before-after", story="faster, with twice the touches",
        may_say="traded accuracy for speed", touches=2.2),
)

SHEET = {
    "forward_speed_max": 80, "forward_speed_min": 30, "reverse_speed_max": 55, "reverse_speed_min": 20,
    "turn_speed_max": 45, "turn_speed_min": 20, "acceleration_max": 60, "acceleration_min": 30,
    "deceleration_max": 70, "deceleration_min": 40, "turn_acceleration_max": 55,
    "turn_acceleration_min": 25, "turn_deceleration_max": 60, "turn_deceleration_min": 30,
    "throw_forward": 100, "throw_reverse": 100, "throw_left": 100, "throw_right": 100, "deadband": 8,
}

BAD_ROWS = (
    BadRow(table="attempts", why="a time below zero",
        cells="BAD1,K01-05,K01,2,gate,-11.8,1,20,0,light gates"),
    BadRow(table="attempts", why="a word where the seconds belong",
        cells="BAD2,K02-07,K02,2,gate,about 12,1,20,0,hand S2"),
    BadRow(table="attempts", why="a practice that was never logged",
        cells="BAD3,K03-99,K03,2,gate,12.4,1,20,1,hand S1"),
    BadRow(table="attempts", why="the same id with other content",
        cells="K01-01-gate2-1,K01-01,K01,2,gate,19.99,1,20,0,light gates"),
    BadRow(table="practices", why="a day that does not exist",
        cells="K04-98,K04,2026-02-31,75,wood,90,100,3,1"),
    BadRow(table="ratings", why="a rating above ten", cells="K05-03,K05,2,ease,14,self"),
    BadRow(table="tries", why="more successes than tries", cells="K06-04,K06,2,shots,12,10"),
    BadRow(table="changes", why="the old value is not the one on the sheet",
        cells="C90,K01,W01,2,deadband,12,10,2026-05-27,coach,old value misread,0,"),
    BadRow(table="changes", why="reverse would be faster than forward",
        cells="C91,K08,W08,2,reverse_speed_max,55,95,2026-05-27,technician,typed into the wrong cell,0,"),
)
# fmt: on


def truths_of(change: str) -> list[Truth]:
    """Return what is known of one change, one entry an outcome; none for the later steps of a trial."""
    return [truth for truth in TRUTHS if truth.change == change]
