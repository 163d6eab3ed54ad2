"""Files into one raw table of text: every cell as typed, with the row it stood in."""

from __future__ import annotations

import codecs
import csv
import io
import mmap
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import duckdb

from rampbook.store.load.headings import SEARCH_ROWS, Layout, known_headings, read_layout

DELIMITERS = (",", ";", "\t", "|")
TEXT_ENDINGS = (".csv", ".tsv", ".txt")
SHEET_ENDINGS = (".xlsx", ".xlsm", ".xls", ".ods")
ENDINGS = (*TEXT_ENDINGS, ".parquet", *SHEET_ENDINGS)
_SAMPLE_BYTES = 1 << 17
_BOMS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))


class UnreadableFileError(Exception):
    """A file, or a sheet of it, that is no table; the text says why. It ends as a row set aside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One table to be loaded: a text or Parquet file, or one sheet of a workbook.

    ``label`` is how it is called in the report; ``layout`` is None when it is no table of Rampbook, and
    ``headings`` then says what was found.
    """

    path: Path
    label: str
    sheet: str | None
    layout: Layout | None
    headings: tuple[str, ...] = ()
    encoding: str = "utf-8"
    delimiter: str = ","
    first_line: int = 1


def open_sheets(path: Path, label: str) -> list[Sheet]:
    """Return the tables in a file.

    Raises
    ------
    UnreadableFileError
        When it cannot be read as a table.
    """
    ending = path.suffix.lower()
    if ending in SHEET_ENDINGS:
        return _workbook_sheets(path, label)
    if ending == ".parquet":
        return [_parquet_sheet(path, label)]
    return [_text_sheet(path, label)]


def read_raw(connection: duckdb.DuckDBPyConnection, sheet: Sheet, raw: str) -> int:
    """Make a temporary table of the rows under the headings and return how many there are.

    Its columns are ``row_number`` (as seen in the file, the first row being 1) and ``c0``, ``c1``, … as text; the
    one after the last heading holds what stood beyond the headings. To be called outside a transaction: an error
    of the fast reader, after which the slow one takes over, would end it.

    Raises
    ------
    UnreadableFileError
        When a part of it cannot be read as a table.
    """
    if sheet.sheet is not None:
        _read_workbook(connection, sheet, raw)
    elif sheet.path.suffix.lower() == ".parquet":
        _read_parquet(connection, sheet, raw)
    elif not _read_clean_text(connection, sheet, raw):
        _read_awkward_text(connection, sheet, raw)
    return _count(connection, raw)


def _count(connection: duckdb.DuckDBPyConnection, raw: str) -> int:
    return int(connection.execute(f"select count(*) from {raw}").fetchall()[0][0])


def _columns(sheet: Sheet) -> int:
    return len(sheet.layout.headings) if sheet.layout else 0


# Text files


def _text_sheet(path: Path, label: str) -> Sheet:
    """Find encoding, delimiter and headings of a text file from its beginning."""
    with path.open("rb") as file:
        sample = file.read(_SAMPLE_BYTES)
    encoding = _encoding(sample)
    text = _decoded(sample, encoding)
    best = max(DELIMITERS, key=lambda mark: _split_quality(text, mark))
    rows, lines = _head(text, best)
    if not any(any(cells) for cells in rows):
        raise UnreadableFileError("the file is empty")
    layout = read_layout(path.stem, rows)
    return Sheet(
        path=path,
        label=label,
        sheet=None,
        layout=layout,
        headings=_widest(rows),
        encoding=encoding,
        delimiter=best,
        first_line=lines[layout.row] if layout else 1,
    )


def _encoding(sample: bytes) -> str:
    """Return the encoding of the beginning of a file; Windows text has no mark, so it is what is left."""
    for bom, name in _BOMS:
        if sample.startswith(bom):
            return name
    if sample[1:2] == b"\0":
        return "utf-16-le"
    try:
        codecs.getincrementaldecoder("utf-8")().decode(sample)
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def _decoded(sample: bytes, encoding: str) -> str:
    return codecs.getincrementaldecoder(encoding)(errors="replace").decode(sample)


def _split_quality(text: str, mark: str) -> tuple[int, int]:
    """Return how many headings are known, then how many cells there are, when split at a mark."""
    rows, _ = _head(text, mark)
    return known_headings(rows), max((len(cells) for cells in rows), default=0)


def _head(text: str, mark: str) -> tuple[list[list[str]], list[int]]:
    """Return the first rows, and for each the line of the file on which it ends."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    rows, lines = [], []
    try:
        for cells in reader:
            rows.append(cells)
            lines.append(reader.line_num)
            if len(rows) == SEARCH_ROWS:
                break
    except csv.Error as error:
        raise UnreadableFileError(f"the file cannot be read as a table ({error})") from error
    return rows, lines


def _widest(rows: list[list[str]]) -> tuple[str, ...]:
    return tuple(cell for cell in max(rows, key=len, default=[]) if cell)


def _read_clean_text(connection: duckdb.DuckDBPyConnection, sheet: Sheet, raw: str) -> bool:
    """Read with DuckDB's own reader; return False when row numbers could not be trusted, or it refuses."""
    if sheet.encoding not in ("utf-8", "utf-8-sig"):
        return False
    columns = "{" + ", ".join(f"'c{i}': 'varchar'" for i in range(_columns(sheet))) + "}"
    try:
        connection.execute(
            f"create or replace temp table {raw} as "
            f"select row_number() over () + {sheet.first_line} as row_number, *, null::varchar as c{_columns(sheet)} "
            "from read_csv("
            f"?, columns = {columns}, auto_detect = false, header = false, skip = {sheet.first_line}, "
            f"delim = ?, quote = '\"', escape = '\"', strict_mode = true)",
            [str(sheet.path), sheet.delimiter],
        )
    except (duckdb.InvalidInputException, duckdb.ConversionException):
        return False
    # Blank lines and line breaks inside cells shift the count: then the rows are numbered by a slower reader.
    return _count(connection, raw) + sheet.first_line == _lines(sheet.path)


def _lines(path: Path) -> int:
    """Return the number of lines of a file."""
    with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as content:
        count = 0
        while block := content.read(1 << 24):
            count += block.count(b"\n")
        return count + (content[-1:] != b"\n")


def _read_awkward_text(connection: duckdb.DuckDBPyConnection, sheet: Sheet, raw: str) -> None:
    """Read an awkward file by way of a plain one in which every row has its number."""
    width = _columns(sheet)
    with tempfile.TemporaryDirectory() as folder:
        plain = Path(folder) / "plain.csv"
        with plain.open("w", encoding="utf-8", newline="") as out:
            writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\n")
            for number, cells in _numbered_rows(sheet):
                # Cells beyond the headings are kept in the last column rather than lost.
                spill = [" ".join(filter(None, cells[width:]))] if any(cells[width:]) else [""]
                writer.writerow([number, *cells[:width], *[""] * (width - len(cells)), *spill])
        columns = ", ".join(["'row_number': 'bigint'", *(f"'c{i}': 'varchar'" for i in range(width + 1))])
        connection.execute(
            f"create or replace temp table {raw} as select * from read_csv(?, columns = {{{columns}}}, "
            "auto_detect = false, header = false, delim = ',', quote = '\"', escape = '\"', new_line = '\\n')",
            [str(plain)],
        )


def _numbered_rows(sheet: Sheet) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows under the headings, each with the line on which it starts."""
    errors = "strict" if sheet.encoding == "utf-8" else "replace"
    with sheet.path.open("r", encoding=sheet.encoding, errors=errors, newline="") as file:
        reader = csv.reader(file, delimiter=sheet.delimiter)
        line = 1
        try:
            for cells in reader:
                if line > sheet.first_line:
                    yield line, cells
                line = reader.line_num + 1
        except csv.Error as error:
            raise UnreadableFileError(f"line {line} cannot be read as part of a table ({error})") from error
        except UnicodeDecodeError as error:
            raise UnreadableFileError("the file mixes two encodings; save it as CSV UTF-8") from error


# Parquet


def _parquet_sheet(path: Path, label: str) -> Sheet:
    """Read the column names of a Parquet file."""
    try:
        names = duckdb.connect().execute("select * from read_parquet(?) limit 0", [str(path)]).description or []
    except duckdb.Error as error:
        raise UnreadableFileError(f"the file cannot be read as Parquet ({str(error).partition(chr(10))[0]})") from error
    headings = [column[0] for column in names]
    return Sheet(
        path=path,
        label=label,
        sheet=None,
        layout=read_layout(path.stem, [headings]),
        headings=tuple(headings),
    )


def _read_parquet(connection: duckdb.DuckDBPyConnection, sheet: Sheet, raw: str) -> None:
    """Read a Parquet file; it has no heading row, so its first row is row 1."""
    names = ", ".join(f"c{i}" for i in range(_columns(sheet)))
    connection.execute(
        f"create or replace temp table {raw} as with typed({names}) as (select * from read_parquet(?)) "
        "select row_number() over () as row_number, columns(*)::varchar, "
        f"null::varchar as c{_columns(sheet)} from typed",
        [str(sheet.path)],
    )


# Workbooks


def _workbook_sheets(path: Path, label: str) -> list[Sheet]:
    """Return the sheets of a workbook that hold anything."""
    import fastexcel

    try:
        book = fastexcel.read_excel(str(path))
        names = book.sheet_names
        grids = [
            book.load_sheet(name, header_row=None, skip_rows=0, n_rows=SEARCH_ROWS, dtypes="string").to_polars()
            for name in names
        ]
    except fastexcel.FastExcelError as error:
        raise UnreadableFileError(f"the workbook cannot be opened ({str(error).partition(chr(10))[0]})") from error
    sheets = []
    for name, grid in zip(names, grids, strict=True):
        rows = [list(cells) for cells in grid.iter_rows()]
        if not rows:
            continue
        layout = read_layout(name, rows) or (read_layout(path.stem, rows) if len(names) == 1 else None)
        headings = _widest([[cell or "" for cell in cells] for cells in rows])
        sheets.append(
            Sheet(
                path=path,
                label=label if len(names) == 1 else f"{label} [{name}]",
                sheet=name,
                layout=layout,
                headings=headings,
            )
        )
    if not sheets:
        raise UnreadableFileError("the workbook is empty")
    return sheets


def _read_workbook(connection: duckdb.DuckDBPyConnection, sheet: Sheet, raw: str) -> None:
    """Read one sheet of a workbook, every cell as text."""
    import fastexcel

    grid = (
        fastexcel.read_excel(str(sheet.path))
        .load_sheet(sheet.sheet, header_row=None, skip_rows=0, dtypes="string")
        .to_polars()
    )
    width, first = _columns(sheet), (sheet.layout.row if sheet.layout else 0) + 1
    grid = grid.rename({name: f"c{i}" for i, name in enumerate(grid.columns)})
    connection.register("workbook_cells", grid.with_row_index("row_number", offset=1)[first:].to_arrow())
    wanted = ", ".join(f"c{i}::varchar as c{i}" for i in range(width))
    connection.execute(
        f"create or replace temp table {raw} as select row_number::bigint as row_number, {wanted}, "
        f"null::varchar as c{width} from workbook_cells"
    )
    connection.unregister("workbook_cells")
