"""``rampbook chair``: log a chair, the scale of its numbers, its days and the athlete's goals; or list the chairs."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.inputs import day, future_warning
from rampbook.cli.output import print_json, print_lines, print_notes, saved_lines, section
from rampbook.cli.sheets import refuse_unknown_athlete
from rampbook.domain.cautions import cautions
from rampbook.domain.chairs import Chair, baselines, chairs_from
from rampbook.domain.throw import THROW_DEFINITIONS
from rampbook.domain.words import one_of
from rampbook.errors import EntryError
from rampbook.store import Store, open_store
from rampbook.store.saved import Saved, record_rows

Row = dict[str, Any]
_FIELDS = ("athlete", "scale", "scale_definition", "throw_definition", "since", "until", "goals")


def chair_command(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    chair: Annotated[str | None, typer.Argument(help="Code of the chair; leave it out to list the chairs.")] = None,
    since: Annotated[str | None, typer.Option(help="First day it was driven in practice, YYYY-MM-DD.")] = None,
    until: Annotated[str | None, typer.Option(help="Last day it was driven in practice, YYYY-MM-DD.")] = None,
    scale: Annotated[str | None, typer.Option(help="Id of the scale that its numbers are on.")] = None,
    scale_definition: Annotated[str | None, typer.Option(help="What the numbers of that scale mean.")] = None,
    throw_definition: Annotated[
        str | None, typer.Option(help=f"What its throw numbers mean: {', '.join(THROW_DEFINITIONS)}.")
    ] = None,
    goals: Annotated[str | None, typer.Option(help="What the athlete wants from it, in words; no names.")] = None,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Log a chair, or list the chairs of an athlete.

    A new controller counts as a new chair: give it a code of its own. From the first day of a chair a new baseline
    starts, and its numbers are never compared with those of another scale. What you leave out stays as it was.
    """
    said = {
        "scale": scale, "scale_definition": scale_definition, "goals": goals,
        "throw_definition": None if throw_definition is None
        else one_of(throw_definition, THROW_DEFINITIONS, field="--throw-definition"),
        "since": None if since is None else day(since, field="--since"),
        "until": None if until is None else day(until, field="--until"),
    }  # fmt: skip
    with open_store(store, create=False) as opened, opened.transaction():
        refuse_unknown_athlete(opened, athlete)
        if chair is None:
            _refuse_words_without_a_chair(said)
            saved = Saved()
        else:
            saved = record_rows(opened, {"chairs": _what_is_new(opened, athlete, chair, said)})
        known = chairs_from(opened.rows("chairs_of_athlete", athlete))
    print_notes([line for on in (said["since"], said["until"]) if isinstance(on, date) for line in future_warning(on)])
    if json:
        lines = [{"on": line.on, "why": line.why} for line in baselines(known)]
        chairs = {"athlete": athlete, "chairs": [_as_dict(one) for one in known], "new_baselines": lines}
        print_json(saved.to_dict() | chairs)
        return
    logged = [] if chair is None else [*saved_lines(saved, f"chair {chair} of {athlete}"), ""]
    print_lines([*logged, *_listed(athlete, known), *_next(athlete, chair, known)])


def _refuse_words_without_a_chair(said: Row) -> None:
    given = [name for name, value in said.items() if value is not None]
    if given:
        raise EntryError(
            f"--{given[0].replace('_', '-')} says something of a chair, but no chair is named. Write its code after "
            "the athlete's. Nothing was saved.",
            field="chair",
        )


def _what_is_new(store: Store, athlete: str, chair: str, said: Row) -> list[Row]:
    """Return the row to save: none when it says what stands, a correction of it when it says more or otherwise."""
    before = next(iter(store.rows("chair", chair)), None)
    told = {name: value for name, value in said.items() if value is not None} | {"athlete": athlete}
    others = store.rows("others_on_chair", chair, athlete)
    _refuse_anothers_chair(chair, athlete, {before["athlete"]} if before else {row["athlete"] for row in others})
    if before is None:
        return [{"chair": chair} | told]
    _refuse_another_controller(before, told)
    if all(before[name] == value for name, value in told.items()):
        return []
    stands = {name: before[name] for name in _FIELDS}
    return [{"chair": chair, "supersedes": before["entry"]} | stands | told]


def _refuse_anothers_chair(chair: str, athlete: str, owners: set[str | None]) -> None:
    """Refuse the code of a chair that is another athlete's, by its own record or by its sheet."""
    for owner in sorted(name for name in owners if name not in (None, athlete)):
        raise EntryError(
            f"Chair {chair} is {owner}'s. Where {athlete} drives it now, give it a code of its own for {athlete}: its "
            "sheet starts anew. Nothing was saved.",
            field="chair",
            value=chair,
        )


def _refuse_another_controller(before: Row, told: Row) -> None:
    """Refuse another scale under the code of a chair that has a sheet."""
    scale = told.get("scale")
    if before["has_sheet"] and None not in (scale, before["scale"]) and scale != before["scale"]:
        raise EntryError(
            f"The sheet of chair {before['chair']} is on the scale {before['scale']}, and {scale} is another: numbers "
            "of two scales are never compared. A new controller counts as a new chair: give it a code of its own. "
            "Nothing was saved.",
            field="scale",
            value=scale,
        )


def _as_dict(chair: Chair) -> Row:
    return {name: getattr(chair, name) for name in Chair.__slots__ if name != "entry"} | {"starts": chair.starts}


def _listed(athlete: str, known: list[Chair]) -> list[str]:
    """Return one block a chair, the earliest first."""
    if not known:
        return [f"No chair of {athlete} is on record yet. Log one: rampbook chair {athlete} CODE --scale SCALE"]
    lines = []
    for chair in known:
        stated = "since" if chair.since else "first seen on its sheet"
        days = f"{stated} {chair.starts}" if chair.starts else "since when is not known"
        ended = f", until {chair.until}" if chair.until else ""
        lines.append(f"Chair {chair.name}: {days}{ended}; scale {chair.scale or 'not known'}")
        lines += [f"  {text}" for text in (chair.scale_definition, chair.goals and f"goals: {chair.goals}") if text]
    lines += section("A new baseline starts, and nothing is compared across it, on:",
                     [f"{line.on}: {line.why}" for line in baselines(known)])  # fmt: skip
    return lines


def _next(athlete: str, chair: str | None, known: list[Chair]) -> list[str]:
    """Return what comes next for a chair just logged, with the cautions."""
    mine = next((one for one in known if chair is not None and one.chair == chair), None)
    if mine is None or mine.until is not None:
        return []
    steps = []
    if mine.scale is None or mine.scale_definition is None:
        steps.append("say what its numbers mean, with --scale and --scale-definition")
    if mine.since is None:
        steps.append("say since when it is driven, with --since")
    if mine.read_on is None:
        command = f"rampbook sheet {athlete} --chair {mine.name} --profile N SETTING=VALUE ..."
        steps.append(f"log its start values, every profile: {command}")
    if len(known) > 1:
        steps.append(f"see what carries over from the chair before, and where to begin: rampbook move {athlete}")
    return section("Next:", steps) + section("Before anything is changed:", cautions())


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="chair")(chair_command)
