"""``rampbook series``: the estimate for any table of practices, without a store."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rampbook.cli.show import drawing_of, print_effect, wants_person
from rampbook.errors import EntryError

if TYPE_CHECKING:
    import polars as pl


def read_table(path: Path) -> pl.DataFrame:
    """Read a CSV (comma, semicolon or tab) or Parquet file as text and numbers.

    Raises
    ------
    EntryError
        When the file is not there or is not a table.
    """
    import polars as pl

    if not path.is_file():
        raise EntryError(f"There is no file {path}. Check the name and the folder.", field="file", value=str(path))
    try:
        if path.suffix.lower() == ".parquet":
            return pl.read_parquet(path)
        head = path.read_bytes()[:4096].decode("utf-8", errors="replace").splitlines()
        first = head[0] if head else ""
        separator = max(",;\t", key=first.count)
        return pl.read_csv(path, separator=separator, infer_schema=False, encoding="utf8-lossy")
    except (pl.exceptions.PolarsError, OSError) as error:
        raise EntryError(
            f"{path} cannot be read as a table: {str(error).splitlines()[0]}. Give a CSV or Parquet file with "
            "the columns practice, phase and value.",
            field="file",
            value=str(path),
        ) from error


def series(
    file: Annotated[
        Path,
        typer.Argument(help="CSV or Parquet: practice, phase (0 old, 1 new), value, and what the kind needs."),
    ],
    kind: Annotated[str, typer.Option(help="time, count, rating or success.")],
    covariate: Annotated[
        list[str] | None, typer.Option(help="A numeric column to adjust for; may be given again.")
    ] = None,
    trend: Annotated[bool, typer.Option("--trend/--no-trend", help="Allow for the earlier trend (learning).")] = True,
    confidence: Annotated[float, typer.Option(help="Of the interval.")] = 0.95,
    worthwhile: Annotated[
        float | None, typer.Option(help="Smallest change that would matter: a ratio (0.95) or points.")
    ] = None,
    better: Annotated[str | None, typer.Option(help="lower or higher.")] = None,
    lags: Annotated[int, typer.Option(help="Lags of the Newey-West row of the sensitivity table.")] = 1,
    until: Annotated[
        int | None,
        typer.Option(
            help="Practices with the new setting, in all, at which you will look last: the interval then allows for "
            "looking after every practice."
        ),
    ] = None,
    picture: Annotated[Path | None, typer.Option(help="Also write the picture: .svg, .png or .html.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Estimate the effect of one change from any table of practices, without a store."""
    from rampbook.effect import estimate

    with drawing_of(picture) as draw:
        effect = estimate(
            read_table(file),
            kind=kind,
            covariates=tuple(covariate or ()),
            trend=trend,
            confidence=confidence,
            worthwhile=worthwhile,
            better=better,
            lags=lags,
            until=until,
        )
        draw(effect)
    print_effect(effect, as_json=json)
    raise typer.Exit(wants_person(effect))


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="series")(series)
