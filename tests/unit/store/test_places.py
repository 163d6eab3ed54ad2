"""Places where no store can be: one plain sentence that says what to do, never the engine's own text."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from rampbook.errors import StoreError
from rampbook.store import open_store


def test_a_folder_is_no_store(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"is a folder, not a store\. Name a file in it with --store"):
        open_store(tmp_path)


@pytest.mark.parametrize("name", ["notes.duckdb", "notes.csv"])
def test_a_file_of_another_kind_is_no_store_and_stays(tmp_path: Path, name: str) -> None:
    place = tmp_path / name
    place.write_text("athlete,consent\n", encoding="utf-8")
    with pytest.raises(StoreError) as refused:
        open_store(place)
    assert str(refused.value).endswith("another kind, or damaged. Name another file with --store.")
    assert "DuckDB" not in str(refused.value)
    assert place.read_text(encoding="utf-8") == "athlete,consent\n"


def test_a_database_of_another_kind_is_not_looked_up_on_the_internet(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / "other.duckdb") as other:
        other.execute("create table a (x int)")
    with pytest.raises(StoreError, match="another kind, or damaged") as refused:
        open_store(tmp_path / "other.duckdb")
    assert "download" not in str(refused.value.__cause__)


def test_a_folder_without_rights_is_refused_in_plain_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(StoreError, match=r"You may not read and write a store at .*Name a file in a folder of your"):
        open_store(tmp_path / "locked" / "club.duckdb")


def test_a_folder_in_the_place_of_a_file_is_refused_in_plain_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(StoreError, match="You may not read and write a store at"):
        open_store(tmp_path / "file" / "club.duckdb")
