"""``rampbook speed`` and ``rampbook limit``: measured passes, and the limit that they are held against."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, time
from hashlib import sha256
from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.inputs import day, future_warning, maybe_number, maybe_whole, number
from rampbook.cli.output import figure, print_json, print_lines, print_notes, saved_lines, section, table
from rampbook.cli.sheets import only_chair, refuse_unknown_athlete
from rampbook.cli.slow_down import SlowDown, slow_down
from rampbook.domain.cautions import cautions
from rampbook.domain.speed import DIRECTIONS, METHODS, POWERCHAIR_FOOTBALL, SpeedLimit, limit_of
from rampbook.domain.speed_card import (
    SpeedCard,
    direction_word,
    error_words,
    limit_dict,
    margin_formula,
    margin_words,
    measured_words,
    pass_dict,
    result_words,
)
from rampbook.domain.words import one_of
from rampbook.errors import EntryError
from rampbook.store import Store, open_store
from rampbook.store.saved import record_rows
from rampbook.store.speed import judged, limits_on, passes_of, speed_card

StoreOption = Annotated[Path | None, typer.Option(help="The store's file.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]
_CLOCK = "%H:%M"


def speed(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    seconds: Annotated[list[str] | None, typer.Option(help="Log a pass: seconds through the gate; give all.")] = None,
    gate: Annotated[str | None, typer.Option(help="Length of the gate, metres, such as 19.5.")] = None,
    kmh: Annotated[list[str] | None, typer.Option(help="Log a pass: speed read off, km/h, as on rollers.")] = None,
    direction: Annotated[str | None, typer.Option(help=f"Which way: {', '.join(DIRECTIONS)}.")] = None,
    method: Annotated[str | None, typer.Option(help=f"How it was measured: {', '.join(METHODS)}.")] = None,
    timer: Annotated[str | None, typer.Option(help="Who or what timed it, by code.")] = None,
    profile: Annotated[str | None, typer.Option(help="Number of the drive profile; needed to log.")] = None,
    chair: Annotated[str | None, typer.Option(help="Code of the chair; the one chair when left out.")] = None,
    dial: Annotated[str | None, typer.Option(help="Position of the speed dial, percent.")] = None,
    on: Annotated[str | None, typer.Option(help="Day of the passes, YYYY-MM-DD; today when left out.")] = None,
    at: Annotated[str | None, typer.Option(help="Time of day, HH:MM; now when the day is left out.")] = None,
    correct: Annotated[
        bool, typer.Option("--correct", help="This pass corrects the last one logged that day, which was mistyped.")
    ] = False,
    store: StoreOption = None,
    json: JsonOption = False,
) -> None:
    """Show an athlete's measured passes and their margin to the speed limit, or log passes first.

    A pass is judged as read, by the gate that the rule gives. Beside it stands what the timing error could do to the
    result. Ends with 1 when the latest pass of a direction does not pass, or is stale.
    """
    driven = maybe_whole(profile, field="--profile", saving=bool(seconds or kmh))
    measured_on = day(on)
    rows = _typed(seconds or [], gate, kmh or [])
    with open_store(store, create=False) as opened:
        refuse_unknown_athlete(opened, athlete)
        said: list[str] = []
        if rows:
            place = {"athlete": athlete, "profile": driven, "on": measured_on, "time": _clock(at, is_today=on is None)}
            how = {"direction": direction, "method": method, "timer": timer, "dial_percent": _dial(dial)}
            if correct:
                rows = _corrected(opened, rows, place | how)
            said = _log(opened, rows, place | how, chair)
        elif any((gate, direction, method, timer, dial, at)):
            raise EntryError("To log a pass, give --seconds with --gate, or --kmh. Nothing was saved.")
        answer = _Answer.read(opened, athlete, driven)
    print_notes(future_warning(measured_on) if rows else [])
    if json:
        print_json(answer.to_dict())
    else:
        print_lines([*said, *([""] if said else []), *answer.lines()])
    if any(card.is_above or card.is_stale for card in answer.cards):
        raise typer.Exit(1)


def _typed(seconds: list[str], gate: str | None, kmh: list[str]) -> list[dict[str, Any]]:
    """Return the measured part of each pass that was typed."""
    if seconds and gate is None:
        raise EntryError("--seconds needs --gate, the metres between the marks. Nothing was saved.", field="--gate")
    gate_m = maybe_number(gate, field="--gate")
    timed = [{"gate_m": gate_m, "seconds": number(text, field="--seconds")} for text in seconds]
    return timed + [{"speed_kmh": number(text, field="--kmh")} for text in kmh]


def _dial(text: str | None) -> float | None:
    return maybe_number(text, field="--dial")


def _clock(text: str | None, *, is_today: bool) -> time | None:
    """Return the time of day that was typed; now, to the minute, for a pass logged without a day."""
    if text is None:
        return datetime.now().time().replace(second=0, microsecond=0) if is_today else None
    try:
        return datetime.strptime(text.strip(), _CLOCK).time()
    except ValueError:
        raise EntryError(
            f'--at is "{text}": write a time of day such as 18:30. Nothing was saved.', field="--at", value=text
        ) from None


def _log(store: Store, rows: list[dict[str, Any]], shared: dict[str, Any], chair: str | None) -> list[str]:
    """Save the passes, all or nothing, and return what was saved."""
    for name, choices in (("direction", DIRECTIONS), ("method", METHODS)):
        if shared[name] is None:
            raise EntryError(
                f"--{name} is missing: it must be one of {', '.join(choices)}. Nothing was saved.", field=f"--{name}"
            )
        one_of(shared[name], choices, field=f"--{name}")
    if shared["method"] == "stopwatch" and any("speed_kmh" in row for row in rows):
        raise EntryError(
            "--kmh is a speed read off, and a stopwatch shows none: give --gate and --seconds, or another --method. "
            "Nothing was saved.",
            field="--kmh",
        )
    if shared["profile"] is None:
        raise EntryError("--profile is missing: a pass is of one drive profile. Nothing was saved.", field="--profile")
    with store.transaction():
        place = {"chair": chair or only_chair(store, shared["athlete"])}
        saved = record_rows(store, {"speed_passes": _with_ids([shared | place | row for row in rows])})
    return saved_lines(saved, f"{len(rows)} pass{'es' if len(rows) > 1 else ''} {DIRECTIONS[shared['direction']]}")


def _corrected(store: Store, rows: list[dict[str, Any]], shared: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the one pass, naming the last one of its day, direction and profile, which it corrects.

    Raises
    ------
    EntryError
        When several passes were typed, or there is none to correct.
    """
    if len(rows) != 1:
        raise EntryError("--correct corrects one pass: give one --seconds or one --kmh. Nothing was saved.")
    alike = ("direction", "profile", "on")
    mine = [
        row
        for row in passes_of(store, shared["athlete"])
        if all(str(row[name]) == str(shared[name]) for name in alike)
    ]
    if not mine:
        raise EntryError(
            f"No pass of {shared['athlete']} is logged for that day, direction and profile: there is none to correct. "
            "Nothing was saved.",
            field="--correct",
        )
    last = max(mine, key=lambda row: row["logged_at"])
    return [rows[0] | {"supersedes": last["entry"]}]


def _with_ids(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give a pass that says the same as an earlier one of the call an id of its own: two hands may stop at one time."""
    seen: Counter[str] = Counter()
    out = []
    for row in rows:
        content = repr(sorted((name, str(value)) for name, value in row.items()))
        seen[content] += 1
        number_of_it = f"{sha256(content.encode()).hexdigest()[:16]}#{seen[content]}"
        out.append(row | {"entry": number_of_it} if seen[content] > 1 else row)
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class _Answer:
    """What the store knows of an athlete's speed, ready to print."""

    athlete: str
    limits: dict[str, SpeedLimit]
    rows: list[dict[str, Any]]
    cards: list[SpeedCard]
    slower: list[SlowDown]

    @classmethod
    def read(cls, store: Store, athlete: str, profile: int | None) -> _Answer:
        """Read it, of one profile or of all."""
        limits = limits_on(store, date.today())
        rows = [row for row in passes_of(store, athlete) if profile in (None, row["profile"])]
        pairs = sorted({(row["direction"], row["profile"]) for row in rows})
        # A pass dated after today is shown, and judges nothing yet: a slip in the year must not hide a pass too fast.
        today = date.today()
        cards = [speed_card(store, athlete, way, profile=driven, limits=limits, until=today) for way, driven in pairs]
        slower = [slow_down(store, athlete, card) for card in cards if card.is_above]
        return cls(athlete=athlete, limits=limits, rows=rows, cards=cards, slower=slower)

    def to_dict(self) -> dict[str, Any]:
        """Return the parts for JSON, unrounded."""
        return {
            "athlete": self.athlete,
            "limits": {direction: limit_dict(limit) for direction, limit in self.limits.items()},
            "passes": [pass_dict(row, judged(row, self.limits)) for row in self.rows],
            "latest": [card.to_dict() for card in self.cards],
            "slow_down": [slower.to_dict() for slower in self.slower],
            "formula": margin_formula(),
            "cautions": self.caution_lines,
        }

    @property
    def caution_lines(self) -> list[str]:
        """The cautions, with those of every step down that is proposed."""
        return list(dict.fromkeys([*cautions(), *(line for slower in self.slower for line in slower.caution_lines)]))

    def lines(self) -> list[str]:
        """Return the answer for people, forward and backward apart."""
        out = [f"Measured speed of {self.athlete}"]
        for direction, limit in self.limits.items():
            mine = [row for row in self.rows if row["direction"] == direction]
            out += ["", f"{direction_word(direction)}: the limit is {limit.words}"]
            out += _pass_table(mine, self.limits) if mine else ["No pass is logged."]
            for card in (card for card in self.cards if card.direction == direction):
                out += card_lines(card)
            if not mine:
                out += [f"  - {note}" for note in SpeedCard(direction=direction, profile=0, limit=limit).notes()]
        for slower in self.slower:
            out += ["", *slower.lines()]
        methods = dict.fromkeys(row["method"] for row in self.rows)
        errors = [error_words(method, self.limits["forward"]) for method in methods]
        out += section("How sure a reading is:", [*errors, margin_formula()] if errors else [])
        return [*out, *section("Before anything is changed:", self.caution_lines)]


def card_lines(card: SpeedCard) -> list[str]:
    """Return the state of one direction of one profile, and what to know of it."""
    if card.measured is None or card.judged is None:
        return [f"Profile {card.profile}: not measured."]
    head = f"Profile {card.profile}, latest {card.measured_on}: {result_words(card.judged)}."
    stale = [f"stale: {doubt.words}" for doubt in card.doubts]
    again = ["Measure again: what stands here is from before."] if card.is_stale else []
    return [head, *(f"  - {line}" for line in [*stale, *again, *card.notes()])]


def _pass_table(rows: list[dict[str, Any]], limits: dict[str, SpeedLimit]) -> list[str]:
    """Return the passes as a table: as measured, km/h, margin with its range, result."""
    headings = ("on", "profile", "dial", "measured", "km/h", "margin (range)", "result")
    cells = []
    for row in rows:
        found = judged(row, limits)
        dial = "?" if row["dial_percent"] is None else f"{figure(row['dial_percent'])}%"
        cells.append(
            (str(row["on"]), figure(row["profile"]), dial, measured_words(row), f"{found.kmh:.3f}",
             margin_words(found), result_words(found))
        )  # fmt: skip
    return table(headings, cells)


def limit(
    kmh: Annotated[str | None, typer.Argument(help="The limit as your rule gives it, km/h.")] = None,
    direction: Annotated[
        str | None, typer.Option(help=f"Only one way: {', '.join(DIRECTIONS)}; both when left out.")
    ] = None,
    gate: Annotated[str | None, typer.Option(help="Metres of the gate that the rule gives for it.")] = None,
    gate_seconds: Annotated[str | None, typer.Option(help="Seconds through that gate at the limit.")] = None,
    on: Annotated[str | None, typer.Option(help="First day of the limit; today when left out.")] = None,
    store: StoreOption = None,
    json: JsonOption = False,
) -> None:
    """Show the speed limit that passes are held against, or state the one that your club plays under.

    Give the gate that the rule itself publishes, where it does: a pass is then judged by it, not by the round figure.
    """
    since, ways = day(on), [one_of(direction, DIRECTIONS, field="--direction")] if direction else list(DIRECTIONS)
    with open_store(store, create=False) as opened:
        if kmh is not None:
            stated = limit_of(
                number(kmh, field="the limit"),
                maybe_number(gate, field="--gate"),
                maybe_number(gate_seconds, field="--gate-seconds"),
            )
            _state(opened, stated, ways, since)
        elif gate or gate_seconds or direction:
            raise EntryError("To state a limit, give its km/h first, such as: rampbook limit 10. Nothing was saved.")
        limits = limits_on(opened, max(since, date.today()))
    if json:
        print_json({"limits": {way: limit_dict(found) for way, found in limits.items()}})
    else:
        print_lines([f"{direction_word(way)}: {found.words}" for way, found in limits.items()])
        print_lines(["", "A limit is the most that the rule allows, never a goal. Local rules may be lower."])
        usual = POWERCHAIR_FOOTBALL.kmh
        if any(found.kmh > usual for found in limits.values()):
            print_lines([f"This is above the sport's published limit of {figure(usual)} km/h. Read it again."])
            print_lines([f"To take it back: rampbook limit {figure(usual)}"])


def _state(store: Store, stated: SpeedLimit, ways: list[str], since: date) -> None:
    """Save a limit; one that was stated for the same day is corrected and stays on record."""
    before = {row["direction"]: row for row in store.rows("speed_limits_on", since)}
    rows = []
    for way in ways:
        row = {
            "direction": way, "limit_kmh": stated.kmh, "gate_m": stated.gate_m, "gate_s": stated.gate_s, "on": since,
        }  # fmt: skip
        old = before.get(way)
        if old is not None and all(old[name] == value for name, value in row.items()):
            continue
        rows.append(row | ({"supersedes": old["entry"]} if old is not None and old["on"] == since else {}))
    record_rows(store, {"speed_limits": rows})


def register(app: typer.Typer) -> None:
    """Add the two commands."""
    app.command(name="speed")(speed)
    app.command(name="limit")(limit)
