"""``rampbook ask``: from what is seen to what to check first, and the one setting that could be tried."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from rampbook.cli.inputs import maybe_whole
from rampbook.cli.output import figure, print_json, print_lines, section, table, writing
from rampbook.cli.sheets import one_sheet, refuse_unknown_athlete, sheet_rows
from rampbook.cli.wish import Wish, block_line, step_lines, weigh
from rampbook.domain.cautions import RECHECK_SPEED, cautions
from rampbook.domain.settings import Catalogue
from rampbook.domain.staleness import setting_counts
from rampbook.domain.symptoms import MARK, Symptom, SymptomList, raises_what
from rampbook.errors import EntryError, ReportError
from rampbook.store import Store, open_store, store_path
from rampbook.store.catalogue import read_catalogue
from rampbook.store.symptoms_file import club_copy, load_symptoms, usual_text

_AWAY = {"drill": "--drill {} --seconds S", "count": "--count {}=N", "rating": "--rating {}=R --by self"}
_AWAY["tries"] = "--tries {}=S/T"


def ask(
    symptom: Annotated[str | None, typer.Argument(help="What is seen, by its short name; all when left out.")] = None,
    athlete: Annotated[str | None, typer.Argument(help="Code of the athlete, to see the values on the sheet.")] = None,
    profile: Annotated[str | None, typer.Option(help="Number of the drive profile.")] = None,
    chair: Annotated[str | None, typer.Option(help="Code of the chair.")] = None,
    setting: Annotated[str | None, typer.Option(help="The one setting, where several are named.")] = None,
    file: Annotated[Path | None, typer.Option(help="Read this list of symptoms instead.")] = None,
    write: Annotated[bool, typer.Option("--write", help="Write your club's own copy of the list, to edit.")] = False,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Ask what to check first when the chair drives oddly, and which one setting could be tried.

    Common practice, no source, and never a diagnosis. Nothing is changed. Your club's own list, beside the store,
    comes before the one that Rampbook brings.
    """
    if write:
        _write(file or club_copy(store_path(store)))
        return
    driven = maybe_whole(profile, field="--profile", saving=False)
    if symptom is None:
        _print_list(load_symptoms(store_path(store), file), as_json=json)
        return
    if athlete is None:
        listed = load_symptoms(store_path(store), file)
        answer = _Answer(listed=listed, symptom=listed.find(symptom), athlete=None, profile=driven, chair=chair)
    else:
        with open_store(store, create=False) as opened:
            refuse_unknown_athlete(opened, athlete)
            catalogue = read_catalogue(opened.connection)
            listed = load_symptoms(opened.path, file, catalogue)
            answer = _weighed(opened, listed, listed.find(symptom), athlete, driven, chair, setting, catalogue)
    if json:
        print_json(answer.to_dict())
    else:
        print_lines(answer.lines())


def _write(place: Path) -> None:
    """Write the usual list for editing; one that is there already is never written over."""
    if place.exists():
        raise ReportError(f"{place} is there already and was left as it is. Edit it, or move it away first.")
    with writing(place, option="--file"):
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(usual_text(), encoding="utf-8")
    print_lines([f"Written: {place}", "Edit it with any text editor. rampbook ask reads it from now on."])


def _print_list(listed: SymptomList, *, as_json: bool) -> None:
    if as_json:
        found = [symptom.to_dict() for symptom in listed.symptoms]
        print_json({"mark": MARK, "source": listed.source, "step_limit": listed.step_limit, "symptoms": found})
        return
    rows = [(symptom.name, symptom.words) for symptom in listed.symptoms]
    more = ["", "What to check first: rampbook ask NAME, or rampbook ask NAME ATHLETE --profile N.", MARK]
    print_lines([*table(("name", "what is seen"), rows), *more, f"Read from {listed.source}."])


def _weighed(
    store: Store,
    listed: SymptomList,
    symptom: Symptom,
    athlete: str,
    profile: int | None,
    chair: str | None,
    setting: str | None,
    catalogue: Catalogue,
) -> _Answer:
    """Return the answer with each setting's value and its one step weighed against the rules."""
    if setting is not None and setting not in symptom.settings:
        raise EntryError(
            f'{symptom.name} does not name "{setting}". It names {", ".join(symptom.settings)}.', field="setting"
        )
    # The last day that can be written: the sheet as it stands now.
    rows = sheet_rows(store, athlete, date.max, profile=profile, chair=chair)
    values, chair_found, profile_found = one_sheet(rows, athlete)
    chair_now = chair or chair_found
    meaning = next((row["throw_definition"] for row in store.rows("throw_definition", chair_now)), None)
    wishes = []
    for name in (setting,) if setting else symptom.settings:
        old = values.get(name)
        if old is not None:
            value = symptom.next_value(catalogue.find(name), old, meaning)
            wishes.append(weigh(values, name, value, catalogue))
    return _Answer(
        listed=listed, symptom=symptom, athlete=athlete, chair=chair_now,
        profile=profile_found if profile is None else profile, setting=setting, wishes=tuple(wishes), meaning=meaning,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Answer:
    """One symptom, with the values of one sheet where an athlete was named."""

    listed: SymptomList
    symptom: Symptom
    athlete: str | None
    profile: int | None
    chair: str | None
    setting: str | None = None
    wishes: tuple[Wish, ...] = ()
    meaning: str | None = None

    @property
    def caution_lines(self) -> list[str]:
        """The cautions of every step that could be tried, and of what it raises."""
        lines = cautions()
        for wish in self.wishes:
            lines += wish.caution_lines
        for name in self._names:
            lines += self._livelier(name)
            if any(setting_counts(name, way) for way in ("forward", "reverse")):
                lines.append(RECHECK_SPEED)
        return list(dict.fromkeys(lines))

    @property
    def _names(self) -> tuple[str, ...]:
        return (self.setting,) if self.setting else self.symptom.settings

    def _livelier(self, name: str) -> list[str]:
        way = self.symptom.way_of(name, self.meaning)
        raised = raises_what(name, way)
        if name.startswith("throw_") and self.symptom.direction == "down":
            raised = "the speed or the turn rate that the same push commands"
        if raised is None:
            return []
        return [f"This step raises {raised}: try it with the speed dial low first, clear space, spotter, agreed stop."]

    @property
    def log_lines(self) -> list[str]:
        """What to type, in order."""
        who, number = self.athlete or "ATHLETE", "PROFILE" if self.profile is None else self.profile
        kind, _, name = self.symptom.outcome.partition(":")
        practice = f"rampbook practice {who} --profile {number} {_AWAY[kind].format(name)}"
        lines = [f"rampbook event {who} --event {event}" for event in self.symptom.events]
        lines.append(f"{practice}   (in at least 3 practices, before anything is changed)")
        lines.append(self._change_line(who, number))
        return [*lines, f"{practice}   (in at least 3 practices after it)", "rampbook effect CHANGE", self._back]

    _back = "rampbook goback CHANGE   (at once when anything gets worse; that never waits for numbers)"

    def _change_line(self, who: str, number: int | str) -> str:
        name = self._names[0] if len(self._names) == 1 else "SETTING"
        one = next((wish for wish in self.wishes if wish.setting == name), None)
        if one is not None and one.old == one.value:
            return f"nothing to change here: {name} stands at its end"
        if one is not None and not one.allowed:
            return "rampbook change ...   (the order of steps above, each its own change)"
        old, new = ("OLD", "NEW") if one is None else (figure(one.old), figure(one.value))
        chair = f" --chair {self.chair}" if self.chair else ""
        return (
            f"rampbook change {who} --profile {number}{chair} --setting {name} --from {old} --to {new} "
            f'--why "{self.symptom.words.lower()}" --role ROLE --planned'
        )

    def to_dict(self) -> dict[str, Any]:
        """Return the parts for JSON."""
        steps = [
            {"setting": w.setting, "value": w.old, "next": w.value, "at_its_end": w.old == w.value} | w.to_dict()
            for w in self.wishes
        ]
        return {
            "mark": MARK, "source": self.listed.source, "step_limit": self.listed.step_limit,
            "symptom": self.symptom.to_dict(), "athlete": self.athlete, "profile": self.profile, "chair": self.chair,
            "could_be_tried": steps, "not_on_sheet": self._unknown, "log_next": self.log_lines,
            "cautions": self.caution_lines,
        }  # fmt: skip

    @property
    def _unknown(self) -> list[str]:
        known = {wish.setting for wish in self.wishes}
        return [] if self.athlete is None else [name for name in self._names if name not in known]

    def lines(self) -> list[str]:
        """Return the answer for people."""
        symptom = self.symptom
        out = [symptom.words, MARK, "", "Check first, in this order:"]
        out += [f"  {place}. {line}" for place, line in enumerate(symptom.check_first, start=1)]
        one = "One setting could be tried" if len(self._names) == 1 else "One of these settings could be tried, not two"
        out += ["", f"{one}, if {symptom.only_if}:", *(line for name in self._names for line in self._one(name))]
        kind, _, name = symptom.outcome.partition(":")
        better = f"{name.replace('_', ' ')} ({kind}), {symptom.better} is better"
        out += section("Find out whether it helped:", [f"log {better}", *([symptom.watch] if symptom.watch else [])])
        out += section("What to type, in this order:", self.log_lines)
        out += section("Before anything is changed:", self.caution_lines)
        return [*out, "", f"Read from {self.listed.source}."]

    def _one(self, name: str) -> list[str]:
        """Return what could be tried with one setting: its value, the direction, and what stands in the way."""
        symptom, way = self.symptom, self.symptom.way_of(name, self.meaning)
        small = f"{'up' if way > 0 else 'down'} by {figure(symptom.step)}"
        wish = next((one for one in self.wishes if one.setting == name), None)
        if self.athlete is None:
            return [f"  - {name} {small}, at most {figure(self.listed.step_limit)} in one change"]
        if wish is None:
            return [f"  - {name} {small}: it is not on the sheet, so read it from the chair and log it first"]
        if wish.old == wish.value:
            return [f"  - {name} stands at {figure(wish.old)}, its end: there is no step {small.split()[0]} from there"]
        line = f"  - {name} {small}: {figure(wish.old)} to {figure(wish.value)}"
        if wish.allowed:
            return [line + ("; not every rule could be checked, see rampbook settings --can" if wish.unchecked else "")]
        blocked = "; ".join(map(block_line, wish.blocks))
        way_there = step_lines(wish.steps)[1:] if wish.steps else [f"No order of steps gets there: {wish.impossible}."]
        return [f"{line} is blocked: {blocked}", *(f"    {text}" for text in way_there)]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="ask")(ask)
