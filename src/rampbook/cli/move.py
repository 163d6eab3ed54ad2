"""``rampbook move``: the matching plan for another chair."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from rampbook import __version__
from rampbook.cli.inputs import maybe_whole
from rampbook.cli.output import print_json, print_lines, writing
from rampbook.cli.review import refuse_foreign_page
from rampbook.cli.sheets import refuse_unknown_athlete
from rampbook.domain.cautions import FELT_GAIN, LONGER_STOP, RECHECK_SPEED, cautions
from rampbook.domain.chairs import Chair, chairs_from
from rampbook.errors import EntryError
from rampbook.reports.moving import MovingPlan, gather_plan, plan_lines, render_plan
from rampbook.store import Store, open_store
from rampbook.store.speed import match_profile


def move(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    from_chair: Annotated[
        str | None, typer.Option("--from", help="Code of the old chair; the one before the new chair when left out.")
    ] = None,
    to_chair: Annotated[
        str | None, typer.Option("--to", help="Code of the new chair; the one that came last when left out.")
    ] = None,
    profile: Annotated[
        str | None, typer.Option(help="Number of the drive profile; that of matches, or the most practised.")
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Also write the plan as one HTML page.")] = None,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Plan the move to a new chair or controller.

    Goals and measured behaviour carry over; numbers of another scale never do. The plan says what to measure before
    the old chair goes, in which order to approach the new one, what to measure at each step and when to stop. It
    proposes no value. Ends with 1 when something is to be measured or logged first.
    """
    wanted = maybe_whole(profile, field="--profile", saving=False)
    if out is not None:
        refuse_foreign_page(out)
    with open_store(store, create=False) as opened:
        refuse_unknown_athlete(opened, athlete)
        plan = make_plan(opened, athlete, from_chair, to_chair, wanted, date.today())
    if out is not None:
        _write(out, render_plan(plan, version=__version__))
    if json:
        print_json(plan.to_dict() | {"page": None if out is None else str(out)})
    else:
        print_lines([*plan_lines(plan), *([] if out is None else ["", f"Page: {out}"])])
    if plan.to_do:
        raise typer.Exit(1)


def _write(path: Path, page: str) -> None:
    with writing(path, option="--out"):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(page, encoding="utf-8")


def make_plan(
    store: Store, athlete: str, old: str | None, new: str | None, profile: int | None, on: date
) -> MovingPlan:
    """Return the plan for an athlete's move.

    Raises
    ------
    EntryError
        When no chair is known, or one that was named is not.
    """
    chairs = [chair for chair in chairs_from(store.rows("chairs_of_athlete", athlete)) if chair.starts is not None]
    before, after = _two(athlete, chairs, old, new)
    driven = practised_profile(store, athlete, on) if profile is None else profile
    return gather_plan(
        store, athlete, profile=driven, old=before, new=after,
        chairs=chairs, made_on=on, cautions=[*cautions(), LONGER_STOP, FELT_GAIN, RECHECK_SPEED],
    )  # fmt: skip


def _two(athlete: str, chairs: list[Chair], old: str | None, new: str | None) -> tuple[Chair, Chair | None]:
    if not chairs:
        raise EntryError(
            f"No chair of {athlete} is on record with a first day or a sheet. Log the old one: rampbook chair "
            f"{athlete} CODE --since DAY.",
            field="chair",
        )
    before = None if old is None else _named(athlete, chairs, old, "--from")
    after = None if new is None else _named(athlete, chairs, new, "--to")
    if after is None and before is None and len(chairs) > 1:
        after = chairs[-1]
    if after is None and before is not None:
        later = chairs[chairs.index(before) + 1 :]
        after = later[-1] if later else None
    if before is None:
        earlier = [chair for chair in chairs if chair is not after]
        place = chairs.index(after) if after is not None else len(chairs)
        before = chairs[place - 1] if place else earlier[0] if earlier else None
    if before is None or before is after:
        raise EntryError(
            f"{athlete} has one chair on record, so there is none to move from. Name the old one with --from.",
            field="from",
        )
    return before, after


def _named(athlete: str, chairs: list[Chair], code: str, option: str) -> Chair:
    found = next((chair for chair in chairs if chair.chair == code), None)
    if found is None:
        raise EntryError(
            f'{option} is "{code}": no such chair of {athlete} is on record with a first day or a sheet. It has '
            f"{', '.join(chair.name for chair in chairs)}. Log one: rampbook chair {athlete} {code} --since DAY.",
            field=option,
            value=code,
        )
    return found


def practised_profile(store: Store, athlete: str, on: date) -> int:
    """Return the profile stated for matches, else the one with most measured days, else the first of the sheet."""
    stated = match_profile(store, athlete, on)
    if stated is not None:
        return int(stated["profile"])
    days: dict[int, int] = {}
    for row in store.rows("outcomes_of_athlete", athlete):
        if row["profile"] is not None:
            days[row["profile"]] = days.get(row["profile"], 0) + len(row["days"])
    if days:
        return max(days, key=lambda number: (days[number], -number))
    sheet = [row["profile"] for row in store.rows("sheets_now") if row["athlete"] == athlete]
    return min(sheet, default=1)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="move")(move)
