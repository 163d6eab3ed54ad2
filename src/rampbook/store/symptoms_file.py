"""Where the list of symptoms is read from: the club's own copy beside its store, else the one in the package."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from rampbook.domain.catalogue import DEFAULT, Catalogue
from rampbook.domain.symptoms import SymptomList, read_symptoms
from rampbook.errors import StoreError

_NAME = "symptoms.toml"


def club_copy(store: Path) -> Path:
    """Return where a club's own copy lies: ``club.symptoms.toml`` beside ``club.duckdb``."""
    return store.with_suffix(f".{_NAME}")


def usual_text() -> str:
    """Return the text of the file that comes with Rampbook."""
    return (files("rampbook.domain") / _NAME).read_text(encoding="utf-8")


def load_symptoms(store: Path, own: Path | None = None, catalogue: Catalogue = DEFAULT) -> SymptomList:
    """Return the symptoms of a file that is named, else of the club's copy, else those that come with Rampbook.

    Raises
    ------
    StoreError
        When the file that is named is not there, or cannot be read.
    EntryError
        When it holds what it may not; with line and key.
    """
    place = own or (club_copy(store) if club_copy(store).exists() else None)
    if place is None:
        return read_symptoms(usual_text(), _NAME, catalogue)
    try:
        # The byte order mark that some editors put at the beginning would be an error of TOML.
        text = place.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise StoreError(
            f"{place} cannot be read as text (UTF-8). Name another file with --file, or write a new one with --write."
        ) from error
    return read_symptoms(text, str(place), catalogue)
