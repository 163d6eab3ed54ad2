"""One store: a DuckDB file, opened for as long as a job takes and no longer."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import duckdb
import platformdirs

from rampbook.errors import StoreError, StoreLockedError
from rampbook.store.migrate import bring_up_to_date
from rampbook.store.sqlfiles import sql_text

if TYPE_CHECKING:
    import polars

TABLES = ("athletes", "settings", "changes", "practices", "attempts", "counts", "ratings", "tries", "events")
ENVIRONMENT = "RAMPBOOK_STORE"
PATIENCE_S = 10.0
_FIRST_WAIT_S, _LONGEST_WAIT_S = 0.02, 0.5


class Store:
    """An open store; a context manager that closes it.

    DuckDB lets one process at a time have the file, even to read, so a store is opened for one job and closed:
    the club page and the command line then take turns.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        An open connection whose schema is up to date.
    path : Path
        Where the store is.
    """

    def __init__(self, connection: duckdb.DuckDBPyConnection, path: Path) -> None:
        self.connection = connection
        self.path = path
        self._depth = 0

    def __enter__(self) -> Store:
        """Return the store itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close the store."""
        self.close()

    def close(self) -> None:
        """Close the store and let other programs have the file."""
        self.connection.close()

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Save everything done inside together, or nothing; one inside another belongs to the outer one."""
        if self._depth:
            yield
            return
        self.connection.execute("begin transaction")
        self._depth = 1
        try:
            yield
            self.connection.execute("commit")
        except BaseException:
            self.connection.execute("rollback")
            raise
        finally:
            self._depth = 0

    def rows(self, query: str, *params: Any) -> list[dict[str, Any]]:
        """Return the rows of ``sql/queries/QUERY.sql``, each as a dict by column name.

        Parameters
        ----------
        query : str
            Name of the query file.
        *params
            Values for its question marks, in order.
        """
        return self.select(sql_text("queries", query), *params)

    def select(self, sql: str, *params: Any) -> list[dict[str, Any]]:
        """Return the rows of one select as dicts."""
        answer = self.connection.execute(sql, list(params))
        names = [column[0] for column in answer.description or []]
        return [dict(zip(names, row, strict=True)) for row in answer.fetchall()]

    def frame(self, name: str, *params: Any) -> polars.DataFrame:
        """Return a query file, or a table or view, as a polars frame.

        Parameters
        ----------
        name : str
            Name of a file in ``sql/queries``, or of a table or view of the store.
        *params
            Values for the question marks of a query.

        Raises
        ------
        StoreError
            When there is neither.
        """
        sql = f'from "{name}"' if self._has(name) else sql_text("queries", name)
        frame: polars.DataFrame = self.connection.sql(sql, params=list(params)).pl()
        return frame

    def table(self, name: str) -> polars.DataFrame:
        """Return a table or view of the store as a polars frame.

        Raises
        ------
        StoreError
            When there is no such table.
        """
        if not self._has(name):
            raise StoreError(f'The store has no table "{name}". It has {", ".join(TABLES)}.')
        return self.frame(name)

    @property
    def athletes(self) -> polars.DataFrame:
        """The table of athletes, corrections and all."""
        return self.table("athletes")

    @property
    def settings(self) -> polars.DataFrame:
        """The table of setting sheets, corrections and all."""
        return self.table("settings")

    @property
    def changes(self) -> polars.DataFrame:
        """The table of changes, corrections and all."""
        return self.table("changes")

    @property
    def practices(self) -> polars.DataFrame:
        """The table of practices, corrections and all."""
        return self.table("practices")

    @property
    def attempts(self) -> polars.DataFrame:
        """The table of timed attempts, corrections and all."""
        return self.table("attempts")

    @property
    def counts(self) -> polars.DataFrame:
        """The table of counts, corrections and all."""
        return self.table("counts")

    @property
    def ratings(self) -> polars.DataFrame:
        """The table of ratings, corrections and all."""
        return self.table("ratings")

    @property
    def tries(self) -> polars.DataFrame:
        """The table of tries, corrections and all."""
        return self.table("tries")

    @property
    def events(self) -> polars.DataFrame:
        """The table of events, corrections and all."""
        return self.table("events")

    def _has(self, name: str) -> bool:
        found = self.connection.execute(
            "select 1 from information_schema.tables where table_schema = 'main' and table_name = ?", [name]
        )
        return bool(found.fetchall())


def open_store(path: Path | str | None = None, *, create: bool = True, patience_s: float = PATIENCE_S) -> Store:
    """Return the store at a path, made and brought up to date where needed.

    Parameters
    ----------
    path : Path or str, optional
        The file; else the environment variable ``RAMPBOOK_STORE``, else the user's data folder.
    create : bool
        Whether a store that does not exist is made.
    patience_s : float
        How long to wait for another program to let go of the file, seconds.

    Raises
    ------
    StoreLockedError
        When another program keeps the file for longer than that.
    StoreError
        When the file is not there and may not be made, or is not a store.
    MigrationError
        When its schema cannot be brought up to date.
    """
    place = store_path(path)
    _make_ready(place, create=create)
    connection = _connect(place, patience_s)
    try:
        bring_up_to_date(connection)
    except BaseException:
        connection.close()
        raise
    return Store(connection, place)


def store_path(path: Path | str | None = None) -> Path:
    """Return where the store is, without opening it."""
    chosen = path or os.environ.get(ENVIRONMENT)
    if chosen:
        return Path(chosen).expanduser()
    return platformdirs.user_data_path("rampbook") / "club.duckdb"


def _make_ready(place: Path, *, create: bool) -> None:
    """Make the folder of a store that is not there yet; refuse a place where no store can be."""
    try:
        if place.is_dir():
            raise StoreError(f"{place} is a folder, not a store. Name a file in it with --store, such as club.duckdb.")
        if place.exists():
            return
        if not create:
            raise StoreError(f"There is no store at {place}. Load a folder of records first, or name one with --store.")
        place.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(_no_rights(place)) from error


def _connect(place: Path, patience_s: float) -> duckdb.DuckDBPyConnection:
    """Connect, waiting for another program to finish."""
    # Off: a Python variable that shares a missing table's name would be read instead of an error.
    config: dict[str, str | bool | int | float | list[str]] = {"python_enable_replacements": False}
    deadline, wait_s = time.monotonic() + patience_s, _FIRST_WAIT_S
    while True:
        try:
            # The prefix: without it a CSV file is opened as a view, and other kinds are looked for on the internet.
            return duckdb.connect(f"duckdb:{place}", config=config)
        except duckdb.IOException as error:
            if "set lock" not in str(error).lower():
                raise StoreError(_why_not(place)) from error
            if time.monotonic() >= deadline:
                raise StoreLockedError(
                    f"Another program is using the store {place}. Close it (or wait until it has finished) "
                    "and try again; nothing was changed."
                ) from error
        except duckdb.Error as error:
            raise StoreError(_not_a_store(place)) from error
        time.sleep(wait_s)
        wait_s = min(2 * wait_s, _LONGEST_WAIT_S)


def _why_not(place: Path) -> str:
    """Return in plain words why a file could not be opened; the engine's own text stays with the cause."""
    return _not_a_store(place) if os.access(place, os.R_OK | os.W_OK) else _no_rights(place)


def _not_a_store(place: Path) -> str:
    return f"{place} cannot be opened as a store: it is of another kind, or damaged. Name another file with --store."


def _no_rights(place: Path) -> str:
    return f"You may not read and write a store at {place}. Name a file in a folder of your own with --store."
