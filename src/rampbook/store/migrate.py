"""Brings the schema of a store up to date: numbered migrations, then the views that read from the tables."""

from __future__ import annotations

import hashlib
from pathlib import Path

import duckdb

from rampbook.errors import MigrationError
from rampbook.store.sqlfiles import sql_files, sql_folder

VIEWS = "views"


def bring_up_to_date(connection: duckdb.DuckDBPyConnection) -> list[str]:
    """Apply the migrations that are missing and rebuild the views when they differ; return what was applied.

    Every migration and its row in ``migration_log`` are saved together or not at all.

    Raises
    ------
    MigrationError
        When a migration fails, when one that was applied has changed since, or when the store comes from a
        newer Rampbook.
    """
    known = _applied(connection)
    files = sql_files("migrations")
    _refuse_strangers(known, files)
    done = [file.stem for file in files if _apply(connection, file, known)]
    if _rebuild_views(connection, known):
        done.append(VIEWS)
    if done:
        # DuckDB cannot replay a comment on, or a change to, a table with a check that calls a function: it looks
        # for that function before it has any. After a crash the store could not be opened, so nothing of the
        # kind stays in the write-ahead log.
        connection.execute("checkpoint")
    return done


def checksum(*texts: str) -> str:
    """Return the fingerprint of SQL texts, the same on every system whatever its line ends."""
    joined = "\n".join(text.replace("\r\n", "\n") for text in texts)
    return hashlib.sha256(joined.encode()).hexdigest()


def _applied(connection: duckdb.DuckDBPyConnection) -> dict[str, str]:
    """Return the checksum of everything applied, the latest of each name; a new store gets its log."""
    has_log = "select 1 from duckdb_tables() where table_name = 'migration_log'"
    if not connection.execute(has_log).fetchall():
        _refuse_another_database(connection)
        connection.execute((sql_folder() / "migration_log.sql").read_text(encoding="utf-8"))
    rows = connection.execute("select name, checksum from migration_log order by applied_at, name").fetchall()
    return dict(rows)


def _refuse_another_database(connection: duckdb.DuckDBPyConnection) -> None:
    """Refuse a file with tables of something else: a store is made in an empty file only."""
    others = connection.execute("select table_name from duckdb_tables() order by 1").fetchall()
    if others:
        raise MigrationError(
            f'The file is a database of something else: it holds the table "{others[0][0]}". '
            "Name another file with --store; nothing was changed."
        )


def _refuse_strangers(known: dict[str, str], files: list[Path]) -> None:
    """Refuse a store with migrations this version does not have: its tables may differ from what is expected."""
    strangers = sorted(known.keys() - {file.stem for file in files} - {VIEWS})
    if strangers:
        raise MigrationError(
            f"The store was made by a newer Rampbook: it has {', '.join(strangers)}. "
            "Install the newer version and open it again; nothing was changed."
        )


def _apply(connection: duckdb.DuckDBPyConnection, file: Path, known: dict[str, str]) -> bool:
    """Apply one migration unless it was; return whether it was applied now."""
    text = file.read_text(encoding="utf-8")
    stamp = checksum(text)
    if file.stem in known:
        if known[file.stem] != stamp:
            raise MigrationError(
                f"The migration {file.stem} is not the one this store was built with. "
                "Install the version of Rampbook that made the store; nothing was changed."
            )
        return False
    _in_one_transaction(connection, file.stem, [text], stamp)
    return True


def _rebuild_views(connection: duckdb.DuckDBPyConnection, known: dict[str, str]) -> bool:
    """Build the views again when their text differs from what the store has; return whether that was so."""
    texts = [file.read_text(encoding="utf-8") for file in sql_files("views")]
    stamp = checksum(*texts)
    if known.get(VIEWS) == stamp:
        return False
    _in_one_transaction(connection, VIEWS, texts, stamp)
    return True


def _in_one_transaction(connection: duckdb.DuckDBPyConnection, name: str, texts: list[str], stamp: str) -> None:
    """Run SQL and note it in the log, both or neither."""
    connection.execute("begin transaction")
    try:
        for text in texts:
            connection.execute(text)
        connection.execute("insert into migration_log (name, checksum) values (?, ?)", [name, stamp])
        connection.execute("commit")
    except duckdb.Error as error:
        # A commit after an error returns quietly and saves nothing, so the way back is always a rollback.
        connection.execute("rollback")
        raise MigrationError(
            f"The store could not be brought up to date at {name}: {error}. Nothing was changed by that step."
        ) from error
