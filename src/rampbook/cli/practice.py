"""``rampbook practice``: one practice and its outcomes, all or nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.inputs import day, future_warning, maybe_number, maybe_whole, number, pairs, share, whole
from rampbook.cli.output import print_json, print_lines, print_notes, saved_lines
from rampbook.cli.sheets import refuse_unknown_athlete
from rampbook.domain.outcomes import RATING_GIVERS, drill_of, outcome_name
from rampbook.domain.words import one_of
from rampbook.errors import EntryError
from rampbook.evidence.harm import Watched, short
from rampbook.harm import alerts, watch
from rampbook.store import Store, open_store
from rampbook.store.saved import record_rows

Rows = dict[str, list[dict[str, Any]]]
Many = list[str] | None


def practice(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    on: Annotated[str | None, typer.Option(help="Day, YYYY-MM-DD; today when left out.")] = None,
    id: Annotated[str | None, typer.Option(help="Your own id for the practice.")] = None,
    minutes: Annotated[str | None, typer.Option(help="Length, minutes.")] = None,
    surface: Annotated[str | None, typer.Option(help="The floor.")] = None,
    battery: Annotated[str | None, typer.Option(help="Charge at the start, percent.")] = None,
    dial: Annotated[str | None, typer.Option(help="Position of the speed dial, percent.")] = None,
    fatigue: Annotated[str | None, typer.Option(help="Fatigue beforehand, 0 to 10.")] = None,
    pain: Annotated[str | None, typer.Option(help="Pain beforehand, 0 to 10.")] = None,
    profile: Annotated[str | None, typer.Option(help="Drive profile of these outcomes.")] = None,
    drill: Annotated[str | None, typer.Option(help="Drill that was timed.")] = None,
    seconds: Annotated[Many, typer.Option(help="Seconds of one attempt; give all, each in turn.")] = None,
    touches: Annotated[Many, typer.Option(help="Touches of each attempt, in the same order.")] = None,
    unfinished: Annotated[
        Many, typer.Option(help="Limit in seconds of an attempt that was not finished.")
    ] = None,
    timer: Annotated[str | None, typer.Option(help="Who or what timed it, by code.")] = None,
    count: Annotated[Many, typer.Option(metavar="NAME=N", help="A count, such as collisions=3.")] = None,
    count_minutes: Annotated[str | None, typer.Option(help="Minutes in which was counted.")] = None,
    rating: Annotated[Many, typer.Option(metavar="NAME=R", help="A rating 0 to 10: comfort=7.")] = None,
    by: Annotated[str | None, typer.Option(help=f"Who gave it: {', '.join(RATING_GIVERS)}.")] = None,
    tries: Annotated[Many, typer.Option(metavar="NAME=S/T", help="Successes of tries: passes=7/10.")] = None,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Log a practice and its outcomes, all or nothing.

    The same call twice adds nothing. A later call for the same practice adds outcomes to it. Numbers may have
    a decimal comma. A blank that you do not know is better left out than guessed. When something has got worse
    since a change, that is said at once, and the command ends with 1.
    """
    held_on = day(on)
    details = {
        "minutes": maybe_number(minutes, field="--minutes"),
        "surface": surface,
        "battery_percent": maybe_number(battery, field="--battery"),
        "dial_percent": maybe_number(dial, field="--dial"),
        "fatigue": maybe_number(fatigue, field="--fatigue"),
        "pain": maybe_number(pain, field="--pain"),
    }
    driven = maybe_whole(profile, field="--profile")
    attempts = _attempts(drill, seconds or [], touches or [], unfinished or [], timer)
    outcomes: Rows = {
        "attempts": attempts,
        "counts": _counts(count or [], count_minutes),
        "ratings": _ratings(rating or [], by),
        "tries": _tries(tries or []),
    }
    with open_store(store, create=False) as opened:
        with opened.transaction():
            refuse_unknown_athlete(opened, athlete)
            first = {"practice": id, "athlete": athlete, "on": held_on, **details}
            saved = record_rows(opened, _joined(opened, first, outcomes, driven))
        raised = _raised(opened, athlete)
    print_notes(future_warning(held_on))
    if json:
        print_json(saved.to_dict() | {"alerts": [watched.to_dict() for watched in raised]})
    else:
        print_lines(saved_lines(saved, f"the practice of {athlete} on {held_on}"))
        print_lines(line for watched in raised for line in ["", *short(watched)])
    if raised:
        raise typer.Exit(1)


def _raised(store: Store, athlete: str) -> list[Watched]:
    """Return the alerts that the last practice leaves standing."""
    # As when rows are saved: for so few, improving the plan takes longer than running it as written.
    store.connection.execute("pragma disable_optimizer")
    found = alerts(watch(store, athlete, last_only=True))
    store.connection.execute("pragma enable_optimizer")
    return found


def _joined(store: Store, first: dict[str, Any], outcomes: Rows, profile: int | None) -> Rows:
    """Return the rows to save, the outcomes tied to their practice; one that stands is not repeated."""
    there = _practice_there(store, first)
    name = there["practice"] if there else first["practice"] or f"{first['athlete']}@{first['on']}"
    tied = {"practice": name, "athlete": first["athlete"], "profile": profile}
    rows: Rows = {"practices": [] if there else [first | {"practice": name}]}
    for table, entries in outcomes.items():
        rows[table] = [tied | entry for entry in entries]
    rows["attempts"] = _with_ids(rows["attempts"])
    return rows


def _practice_there(store: Store, first: dict[str, Any]) -> dict[str, Any] | None:
    """Return the practice if the store has it, refusing details that say otherwise than it does."""
    held = store.rows("practices_of_day", first["athlete"], first["on"])
    found = [row for row in held if first["practice"] in (None, row["practice"])]
    if len(found) > 1:
        ids = ", ".join(row["practice"] for row in found)
        raise EntryError(
            f"{first['athlete']} had more than one practice on {first['on']}: {ids}. "
            "Say which with --id. Nothing was saved.",
            field="--id",
        )
    if not found:
        return None
    for field, value in first.items():
        if value is not None and found[0].get(field) != value:
            raise EntryError(
                f"{found[0]['practice']} is in the store with {field} {found[0][field]}, not {value}. "
                f"Leave {field} out to add to that practice, or give another --id for another practice. "
                "Nothing was saved.",
                field=field,
                value=value,
            )
    return found[0]


def _attempts(
    drill: str | None,
    seconds: Sequence[str],
    touches: Sequence[str],
    unfinished: Sequence[str],
    timer: str | None,
) -> list[dict[str, Any]]:
    """Return one row an attempt: the finished ones in order, then those that were not finished."""
    if drill is None:
        given = [
            ("--seconds", seconds),
            ("--touches", touches),
            ("--unfinished", unfinished),
            ("--timer", timer),
        ]
        for field, value in given:
            if value:
                raise EntryError(
                    f"{field} needs --drill: name the drill. Nothing was saved.", field="--drill"
                )
        return []
    name = outcome_name(drill, field="--drill")
    base = {"drill": drill_of(name) or name, "timer": timer}
    rows = [base | {"seconds": number(s, field="--seconds"), "finished": 1} for s in seconds]
    rows += [base | {"limit_s": number(s, field="--unfinished"), "finished": 0} for s in unfinished]
    if not rows:
        raise EntryError(
            f"--drill {drill} has no attempt: give --seconds, or --unfinished with the limit. "
            "Nothing was saved.",
            field="--seconds",
        )
    if touches and len(touches) not in (len(seconds), len(rows)):
        raise EntryError(
            f"--touches is given {len(touches)} times for {len(rows)} attempts: give it once for each, in "
            "the same order. Nothing was saved.",
            field="--touches",
        )
    for row, n_touches in zip(rows, touches, strict=False):
        row["touches"] = whole(n_touches, field="--touches")
    return rows


def _with_ids(attempts: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give an attempt that says the same as an earlier one of the call an id of its own."""
    seen: Counter[str] = Counter()
    for row in attempts:
        said = repr(sorted(row.items(), key=lambda item: item[0]))
        seen[said] += 1
        if seen[said] > 1:
            row["attempt"] = sha256(f"{said} {seen[said]}".encode()).hexdigest()[:16]
    return attempts


def _counts(texts: Sequence[str], minutes: str | None) -> list[dict[str, Any]]:
    counted = maybe_number(minutes, field="--count-minutes")
    if counted is not None and not texts:
        raise EntryError(
            "--count-minutes needs --count, such as collisions=3. Nothing was saved.", field="--count"
        )
    return [
        {"outcome": name, "count": whole(value, field=name), "minutes": counted}
        for name, value in pairs(texts, field="--count").items()
    ]


def _ratings(texts: Sequence[str], by: str | None) -> list[dict[str, Any]]:
    giver = None if by is None else one_of(by, RATING_GIVERS, field="--by")
    if giver is not None and not texts:
        raise EntryError("--by needs --rating, such as comfort=7. Nothing was saved.", field="--rating")
    return [
        {"outcome": name, "rating": number(value, field=name), "by": giver}
        for name, value in pairs(texts, field="--rating").items()
    ]


def _tries(texts: Sequence[str]) -> list[dict[str, Any]]:
    rows = []
    for name, value in pairs(texts, field="--tries").items():
        successes, n_tries = share(value, field=name)
        rows.append({"outcome": name, "successes": successes, "tries": n_tries})
    return rows


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="practice")(practice)
