"""What a club sees, and the first question to ask of it: read from a plain file that a therapist may edit.

Common practice, no source. It names what to check and which one setting could be tried; it never diagnoses.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from rampbook.domain.catalogue import DEFAULT, Catalogue, Setting
from rampbook.domain.events import EVENTS
from rampbook.domain.throw import OTHER
from rampbook.errors import EntryError

MARK: Final = "Common practice, no source. First questions only, never a diagnosis."
OUTCOME_KINDS = ("drill", "count", "rating", "tries")
_TEXTS = ("name", "words", "only_if", "direction", "outcome", "better", "watch")
_LISTS = ("check_first", "events", "settings")
_KEYS: dict[str, str] = {
    **dict.fromkeys(_TEXTS, "text in quotation marks"),
    **dict.fromkeys(_LISTS, 'a list of texts, as in ["one", "two"]'),
    "step": "a number above 0",
}
_NAME = re.compile(r"[a-z0-9_]+")
_FASTER = ("forward_speed", "reverse_speed")
_LIVELIER = {"turn_speed": "the turn rate", "acceleration": "the acceleration", "turn_acceleration": "the turn rate"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Symptom:
    """One thing that people see, and the first question to it; the fields are those of the file."""

    name: str
    words: str
    check_first: tuple[str, ...]
    events: tuple[str, ...]
    only_if: str
    settings: tuple[str, ...]
    direction: str
    step: float
    outcome: str
    better: str
    watch: str

    def way_of(self, setting: str, throw_definition: str | None = None) -> int:
        """Return 1 when the setting's number goes up and -1 when it goes down, by the chair's own meaning of throw."""
        way = 1 if self.direction == "up" else -1
        return -way if setting.startswith("throw_") and throw_definition == OTHER.id else way

    def next_value(self, entry: Setting, old: float, throw_definition: str | None = None) -> float:
        """Return the value one step on, held within the setting's bounds; the old one where it stands at its end."""
        return min(max(old + self.way_of(entry.name, throw_definition) * self.step, entry.low), entry.high)

    def to_dict(self) -> dict[str, Any]:
        """Return the fields for JSON."""
        return {name: _plain(getattr(self, name)) for name in self.__slots__}


@dataclass(frozen=True, slots=True, kw_only=True)
class SymptomList:
    """The symptoms of one file, with the largest step that the club takes, and where they were read."""

    symptoms: tuple[Symptom, ...]
    step_limit: float
    source: str

    def find(self, name: str) -> Symptom:
        """Return the symptom of a name, however it is spelled apart.

        Raises
        ------
        EntryError
            When there is none; the message names those there are.
        """
        wanted = re.sub(r"[\s-]+", "_", name.strip().lower())
        for symptom in self.symptoms:
            if symptom.name == wanted:
                return symptom
        known = ", ".join(symptom.name for symptom in self.symptoms)
        raise EntryError(f'There is no symptom "{name}". There are {known}.', field="symptom", value=name)


def raises_what(setting: str, way: int) -> str | None:
    """Return what a step raises (speed, acceleration or turn rate), or None; a caution is due where it does.

    Examples
    --------
    >>> raises_what("turn_speed_max", 1), raises_what("turn_speed_max", -1)
    ('the turn rate', None)
    """
    base = setting.removesuffix("_max").removesuffix("_min")
    if base in _FASTER:
        return "the speed" if way > 0 else None
    return _LIVELIER.get(base) if way > 0 else None


def read_symptoms(text: str, source: str, catalogue: Catalogue = DEFAULT) -> SymptomList:
    """Return the symptoms that a file's text holds.

    Parameters
    ----------
    text : str
        TOML, as the file that comes with Rampbook explains it.
    source : str
        Name of the file, for messages.
    catalogue : Catalogue
        The settings that may be named.

    Raises
    ------
    EntryError
        When the text cannot be read, or a key is missing, unknown or holds what it may not; with line and key.
    """
    try:
        held = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise EntryError(_unreadable(str(error), text, source), field="file", value=source) from None
    reader = _Reader(text=text, source=source, catalogue=catalogue)
    reader.refuse_unknown(held, ("step_limit", "symptom"), number=None)
    limit = reader.number(held, "step_limit", None)
    found = held.get("symptom")
    if not isinstance(found, list) or not found or not all(isinstance(one, dict) for one in found):
        raise EntryError(f"{source}: it holds no symptom. Each one begins with a line [[symptom]].", value=source)
    symptoms = tuple(reader.symptom(one, number, limit) for number, one in enumerate(found))
    reader.refuse_twice(symptoms)
    return SymptomList(symptoms=symptoms, step_limit=limit, source=source)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reader:
    """Checks what a file holds, and says in which line a key is wrong; ``number`` counts symptoms from 0."""

    text: str
    source: str
    catalogue: Catalogue

    def symptom(self, one: Mapping[str, Any], number: int, limit: float) -> Symptom:
        """Return one symptom, every key checked."""
        self.refuse_unknown(one, tuple(_KEYS), number)
        texts = {key: self.text_of(one, key, number) for key in _TEXTS}
        lists = {key: self.list_of(one, key, number) for key in _LISTS}
        step = self.number(one, "step", number)
        if step > limit:
            self.refuse("step", number, f"it is {step:g}, more than step_limit, {limit:g}; take a smaller step")
        if not _NAME.fullmatch(texts["name"]):
            self.refuse("name", number, f'it is "{texts["name"]}"; use small letters, digits and _ only')
        self.one_of(texts["direction"], ("up", "down"), "direction", number)
        self.one_of(texts["better"], ("lower", "higher"), "better", number)
        kind, _, name = texts["outcome"].partition(":")
        if kind not in OUTCOME_KINDS or not name.strip():
            self.refuse("outcome", number, f'it is "{texts["outcome"]}"; write one of drill:NAME, count:NAME, '
                        "rating:NAME, tries:NAME")  # fmt: skip
        for event in lists["events"]:
            self.one_of(event, EVENTS, "events", number)
        if not lists["check_first"] or not lists["settings"]:
            self.refuse("settings" if lists["check_first"] else "check_first", number, "it is empty; name at least one")
        for setting in lists["settings"]:
            self.setting(setting, texts["direction"], number)
        return Symptom(step=step, **lists, **texts)  # type: ignore[arg-type]

    def setting(self, setting: str, direction: str, number: int) -> None:
        """Refuse a setting that is not known, and a step that would raise the top speed."""
        if setting not in self.catalogue.settings:
            self.refuse("settings", number, f'there is no setting "{setting}"; rampbook settings lists those you have')
        if direction == "up" and raises_what(setting, 1) == "the speed":
            self.refuse("direction", number, f"{setting} up would raise the top speed; nothing here proposes that")

    def text_of(self, one: Mapping[str, Any], key: str, number: int) -> str:
        """Return a text."""
        value = self.value(one, key, number)
        if not isinstance(value, str) or (not value.strip() and key != "watch"):
            self.refuse(key, number, f"it must be {_KEYS[key]}, not {value!r}")
        return str(value)

    def list_of(self, one: Mapping[str, Any], key: str, number: int) -> tuple[str, ...]:
        """Return a list of texts."""
        value = self.value(one, key, number)
        if not isinstance(value, list) or not all(isinstance(item, str) and item.strip() for item in value):
            self.refuse(key, number, f"it must be {_KEYS[key]}, not {value!r}")
        return tuple(value)

    def number(self, one: Mapping[str, Any], key: str, number: int | None) -> float:
        """Return a number above 0."""
        value = self.value(one, key, number)
        # The upper bound keeps infinity out; no chair counts so far.
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 1e6:
            self.refuse(key, number, f"it must be a number above 0, not {value!r}")
        return float(value)

    def value(self, one: Mapping[str, Any], key: str, number: int | None) -> Any:
        """Return what a key holds; one that is missing is refused."""
        if key not in one:
            self.refuse(key, number, "it is missing; add it")
        return one[key]

    def one_of(self, value: str, words: Iterable[str], key: str, number: int) -> None:
        """Refuse a word that is not on the list."""
        known = tuple(words)
        if value not in known:
            self.refuse(key, number, f'it is "{value}"; it must be one of {", ".join(known)}')

    def refuse_unknown(self, one: Mapping[str, Any], keys: tuple[str, ...], number: int | None) -> None:
        """Refuse a key that means nothing here: it is most often a slip."""
        for key in one:
            if key not in keys:
                self.refuse(key, number, f"there is no such key; there are {', '.join(keys)}")

    def refuse_twice(self, symptoms: tuple[Symptom, ...]) -> None:
        """Refuse a name that two symptoms have."""
        names = [symptom.name for symptom in symptoms]
        for number, name in enumerate(names):
            if name in names[:number]:
                self.refuse("name", number, f'another symptom is called "{name}" too; give each its own name')

    def refuse(self, key: str, number: int | None, why: str) -> None:
        """Raise the error for one key."""
        line = self.line_of(key, number)
        which = "" if number is None else f" of symptom {number + 1}"
        raise EntryError(
            f'{self.source}, line {line}, key "{key}"{which}: {why}. Correct it, or move the file away to use the one '
            "that comes with Rampbook.",
            field=key,
            value=self.source,
        )

    def line_of(self, key: str, number: int | None) -> int:
        """Return the line of a key; where it is missing, the line at which its symptom begins."""
        at, start = -1, 1
        for place, line in enumerate(self.text.splitlines(), start=1):
            if re.match(r"\s*\[\[\s*symptom\s*\]\]", line):
                at += 1
                start = place if at == number else start
            here = at if number is not None else None
            if here == number and re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*=", line):
                return place
        return start


def _unreadable(said: str, text: str, source: str) -> str:
    """Return where TOML could not be read, with the key that stands in that line."""
    found = re.search(r"at line (\d+), column (\d+)", said)
    place = int(found.group(1)) if found else len(text.splitlines())
    lines = text.splitlines()
    line = lines[place - 1].strip() if 0 < place <= len(lines) else ""
    key = re.match(r"([\w-]+)\s*=", line)
    named = f', key "{key.group(1)}"' if key else ""
    return (
        f"{source}, line {place}{named}: it cannot be read there ({said.split(' (at')[0].lower()}). Look for a missing "
        "quotation mark, comma or bracket in that line or the one above, or move the file away to use the one that "
        "comes with Rampbook."
    )


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value
