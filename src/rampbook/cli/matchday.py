"""``rampbook matchday``: what is stale, which profile should be active, open alerts, and what to check by hand."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from rampbook.cli.inputs import day, future_warning, maybe_whole
from rampbook.cli.output import print_json, print_lines, print_notes, section, writing
from rampbook.cli.sheets import only_chair, refuse_unknown_athlete
from rampbook.domain.speed import DIRECTIONS
from rampbook.errors import EntryError
from rampbook.matchday import match_day
from rampbook.reports.matchday import BY_HAND, MatchDay, alert_lines, card_rows, render_matchday
from rampbook.store import Store, open_store
from rampbook.store.saved import record_rows
from rampbook.store.speed import match_profile


def matchday(
    athlete: Annotated[str | None, typer.Argument(help="Code of the athlete; leave it out for everybody.")] = None,
    on: Annotated[str | None, typer.Option(help="Day of the match, YYYY-MM-DD; today when left out.")] = None,
    html: Annotated[Path | None, typer.Option(help="Also write the list as a page to print, to this file.")] = None,
    match_profile: Annotated[
        str | None, typer.Option(help="State the profile that this athlete's matches are played on, from that day.")
    ] = None,
    chair: Annotated[str | None, typer.Option(help="Chair of that profile; the one chair when left out.")] = None,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Print the match-day check list of one athlete, or of everybody.

    It names the measurements that are stale since a change or an event, and the profile that should be active. Ends
    with 1 when something is stale, above the limit or not measured forward, or when an alert for harm stands.
    """
    held_on, stated = day(on), maybe_whole(match_profile, field="--match-profile")
    if stated is not None and athlete is None:
        raise EntryError("--match-profile is of one athlete. Name the code; nothing was saved.", field="athlete")
    with open_store(store, create=False) as opened:
        if athlete is not None:
            refuse_unknown_athlete(opened, athlete)
            if stated is not None:
                _state(opened, athlete, stated, chair, held_on)
        days = [match_day(opened, code, held_on) for code in ([athlete] if athlete else _everybody(opened))]
    print_notes(future_warning(held_on) if stated is not None else [])
    if html is not None:
        with writing(html, option="--html"):
            html.write_text(render_matchday(days), encoding="utf-8")
    if json:
        print_json({"on": held_on, "athletes": [one.to_dict() for one in days]})
    else:
        print_lines(_lines(days, html))
    if any(one.needs_person for one in days):
        raise typer.Exit(1)


def _everybody(store: Store) -> list[str]:
    """Return the codes of all who have not said that nothing may be kept."""
    codes = [row["athlete"] for row in store.rows("known_athletes")]
    return [code for code in codes if all(row["consent"] != "none" for row in store.rows("athlete", code))]


def _state(store: Store, athlete: str, profile: int, chair: str | None, since: date) -> None:
    """Save which profile matches are played on; one stated for the same day is corrected and stays on record."""
    before = match_profile(store, athlete, since)
    with store.transaction():
        driven = chair or only_chair(store, athlete)
        if before is not None and (before["profile"], before["chair"]) == (profile, driven):
            return
        correction = {"supersedes": before["entry"]} if before is not None and before["on"] == since else {}
        row = {"athlete": athlete, "chair": driven, "profile": profile, "on": since}
        record_rows(store, {"match_profiles": [row | correction]})


def _lines(days: list[MatchDay], html: Path | None) -> list[str]:
    """Return the lists for people, one after the other."""
    out = [line for one in days for line in [*_one(one), ""]] or ["The store knows no athlete yet.", ""]
    return [*out, f"Written to print: {html}"] if html is not None else out[:-1]


def _one(one: MatchDay) -> list[str]:
    """Return the list of one athlete."""
    out = [f"Match day {one.on}, {one.athlete}", f"Should be active: {one.profile_words}."]
    out += [one.other_words] if one.other_words else []
    out += section("Before the match, see to this:", one.to_do) or ["", "Nothing is stale, and no alert stands."]
    out += section("Open alerts, the way back:", alert_lines(one.alerts))
    for card in one.cards:
        out += section(DIRECTIONS[card.direction].capitalize(), (f"{name}: {text}" for name, text in card_rows(card)))
    out += ["", "By hand (common practice, no source):", *(f"  [ ] {line}" for line in BY_HAND)]
    venue = "{:<9} over ____ m   before ______ s   after ______ s   by ________"
    out += ["", "Speed at the venue, to be logged with rampbook speed:"]
    out += [f"  {venue.format(word.capitalize())}" for word in DIRECTIONS.values()]
    return [*out, "", "Checked by (code): ________   at: ________", *section("Cautions:", one.cautions)]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="matchday")(matchday)
