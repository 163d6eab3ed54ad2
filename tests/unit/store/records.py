"""A small invented club as files, for the tests of loading."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from rampbook.store import Store, open_store
from rampbook.store.load import LoadReport, load_paths

ATHLETES = """athlete,birth_year,consent,consent_on
K01,2001,club,2026-01-01
K02,2003,pool,2026-01-01
K03,2004,none,2026-01-01
K04,,,
"""
SETTINGS = """athlete,chair,profile,setting,value,on
K01,C1,2,forward_speed_max,60,2026-01-01
K01,C1,2,forward_speed_min,20,2026-01-01
K01,C1,2,reverse_speed_max,40,2026-01-01
K01,C1,2,deadband,10,2026-01-01
"""
PRACTICES = """practice,athlete,on,minutes,surface
P1,K01,2026-02-01,60,wood
P2,K01,2026-02-08,60,wood
P3,K01,2026-02-15,45,wood
P4,K01,2026-02-15,30,wood
Q1,K02,2026-02-01,60,wood
"""
CHANGES = """change,athlete,chair,profile,setting,old_value,new_value,on,role,reason,planned,goes_back_to
C1,K01,C1,2,forward_speed_max,60,50,2026-02-05,coach,spins out,1,
"""
ATTEMPTS = """attempt,practice,athlete,profile,drill,seconds,finished,limit_s,touches,timer
A1,P1,K01,2,slalom,12.5,1,30,0,T1
A2,P1,K01,2,slalom,,0,30,2,T1
A3,P2,K01,2,slalom,12.1,1,30,1,T1
"""
CLUB = {
    "athletes.csv": ATHLETES,
    "settings.csv": SETTINGS,
    "practices.csv": PRACTICES,
    "changes.csv": CHANGES,
    "attempts.csv": ATTEMPTS,
}


def write_files(folder: Path, files: Mapping[str, str], encoding: str = "utf-8") -> Path:
    """Write files into a folder and return it."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        (folder / name).write_bytes(text.encode(encoding))
    return folder


@cache
def _club_bytes() -> bytes:
    """Return the file of a store that holds the club, loaded once for all tests of a process."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        with open_store(folder / "club.duckdb") as store:
            report = load_paths(store, [write_files(folder / "files", CLUB)])
        assert report.set_aside == []
        return (folder / "club.duckdb").read_bytes()


def club_store(folder: Path, name: str = "club.duckdb") -> Store:
    """Return a new store that holds the club."""
    (folder / name).write_bytes(_club_bytes())
    return open_store(folder / name)


def load_text(store: Store, folder: Path, name: str, text: str, *, day_first: bool | None = None) -> LoadReport:
    """Load one file with this text."""
    write_files(folder / "more", {name: text})
    return load_paths(store, [folder / "more" / name], day_first=day_first)


def contents(store: Store) -> dict[str, list[tuple[object, ...]]]:
    """Return everything in the store's tables, without the instants of entry, in a fixed order."""
    tables = store.select(
        "select table_name as name from duckdb_tables() where not temporary and table_name <> 'migration_log' "
        "order by table_name"
    )
    found = {}
    for table in tables:
        sql = f"select columns(lambda c: c not in ('logged_at', 'loaded_at')) from \"{table['name']}\" order by all"
        found[table["name"]] = [tuple(row.values()) for row in store.select(sql)]
    return found
