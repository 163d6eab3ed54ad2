"""Where the SQL files are: inside the package when installed from a wheel, at the top of the project otherwise."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from rampbook.errors import StoreError

_PACKAGE = Path(__file__).resolve().parents[1]
_PROJECT = Path(__file__).resolve().parents[3]


@cache
def sql_folder() -> Path:
    """Return the folder that holds ``migrations``, ``views``, ``queries``, ``checks`` and ``load``.

    Raises
    ------
    StoreError
        When the installation has lost it.
    """
    for folder in (_PACKAGE / "sql", _PROJECT / "sql"):
        if (folder / "migrations").is_dir():
            return folder
    raise StoreError(f"The SQL files that belong in {_PACKAGE / 'sql'} are missing. Install Rampbook again.")


def sql_files(kind: str) -> list[Path]:
    """Return the SQL files of one kind, in the order of their names."""
    return sorted((sql_folder() / kind).glob("*.sql"))


@cache
def sql_text(kind: str, name: str) -> str:
    """Return the text of ``sql/KIND/NAME.sql``.

    Raises
    ------
    StoreError
        When there is no such file.
    """
    path = sql_folder() / kind / f"{name}.sql"
    if not path.is_file():
        known = ", ".join(file.stem for file in sql_files(kind))
        raise StoreError(f'There is no {kind} file called "{name}". There are: {known}.')
    return path.read_text(encoding="utf-8")
