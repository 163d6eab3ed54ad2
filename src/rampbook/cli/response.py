"""``rampbook response``: pictures of what the joystick commands, before and after, with a measured run over them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rampbook.cli.inputs import day, future_warning, number, whole
from rampbook.cli.output import figure, print_json, print_lines, print_notes, section, writing
from rampbook.cli.sheets import one_sheet, refuse_unknown_athlete, sheet_rows
from rampbook.domain.throw import THROW_DEFINITIONS
from rampbook.domain.words import one_of
from rampbook.errors import EntryError, ReportError
from rampbook.store import Store, open_store

if TYPE_CHECKING:
    from rampbook.charts.response_drawing import ResponseDrawing
    from rampbook.reports.response import Sheet


def response(
    athlete: Annotated[str, typer.Argument(help="Code of the athlete.")],
    profile: Annotated[str, typer.Option(help="Number of the drive profile.")],
    change: Annotated[str | None, typer.Option(help="Id of a change: draw before and after it.")] = None,
    on: Annotated[str | None, typer.Option(help="Day of the sheet, YYYY-MM-DD; today when left out.")] = None,
    against: Annotated[str | None, typer.Option(help="Another day to compare with, YYYY-MM-DD.")] = None,
    chair: Annotated[str | None, typer.Option(help="Code of the chair, when there are several.")] = None,
    dial: Annotated[str | None, typer.Option(help="Position of the speed dial, percent.")] = None,
    run: Annotated[str | None, typer.Option(help="Id of the run to lay over; the latest when left out.")] = None,
    throw_means: Annotated[
        str | None, typer.Option(help=f"What a throw number means: {', '.join(THROW_DEFINITIONS)}.")
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for the page and pictures; this one when left out.")] = None,
    store: Annotated[Path | None, typer.Option(help="The store's file.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document; files only with --out.")] = False,
) -> None:
    """Draw what each direction of the joystick commands, and how speed comes and goes.

    With --change, before and after that change; with --on and --against, two days. It is a plain model: the real
    chair must be measured. A run logged with rampbook run is laid over it. Nothing is changed.
    """
    driven = whole(profile, field="--profile", saving=False)
    turned = None if dial is None else number(dial, field="--dial", saving=False)
    meaning = THROW_DEFINITIONS[one_of(throw_means, THROW_DEFINITIONS, field="--throw-means")] if throw_means else None
    if change and (on or against):
        raise EntryError("--change says both sheets by itself: leave out --on and --against. Nothing was written.")
    with open_store(store, create=False) as opened:
        refuse_unknown_athlete(opened, athlete)
        if change:
            sheets, chair = _around(opened, athlete, driven, change)
        else:
            sheets, chair = _days(opened, athlete, driven, chair, on=on, against=against)
        drawing = _drawing(
            opened, sheets, athlete=athlete, profile=driven, chair=chair, dial=turned, meaning=meaning, run=run
        )
    print_notes(future_warning(sheets[-1].on))
    name = f"response-{athlete}-profile-{driven}" + (f"-{change}" if change else "")
    files = _write(drawing, out or Path(), name) if out or not json else []
    if json:
        print_json(_document(drawing, files))
    else:
        print_lines(_lines(drawing, files))


def _drawing(store: Store, sheets: tuple[Sheet, ...], *, dial: float | None, **asked: Any) -> ResponseDrawing:
    from rampbook.reports.response import drawing_of

    dial_percent, told = _dial(store, asked["athlete"], asked["profile"], sheets[-1].on, dial)
    return drawing_of(store, sheets, dial_percent=dial_percent, dial_told=told, **asked)


def _dial(store: Store, athlete: str, profile: int, on: date, asked: float | None) -> tuple[float, str]:
    """Return the dial's position and where it comes from: asked for, last practised at, or its top."""
    if asked is not None:
        return asked, f"the speed dial is at {asked:g}%, as asked"
    noted = store.rows("dial_practised", athlete, on, profile)
    if noted:
        at, when = noted[0]["dial_percent"], noted[0]["on"]
        return at, f"the speed dial is at {at:g}%, as at the practice of {when}"
    return 100.0, "the speed dial is taken to be at its top, since no practice says where it was"


def _around(store: Store, athlete: str, profile: int, change: str) -> tuple[tuple[Sheet, ...], str | None]:
    """Return the sheet without and with one change: only that setting differs."""
    from rampbook.reports.response import Sheet

    rows = store.rows("change", change)
    if not rows or (rows[0]["athlete"], rows[0]["profile"]) != (athlete, profile):
        raise EntryError(
            f'There is no change "{change}" of {athlete}, profile {profile}. '
            f"See the ids with: rampbook settings {athlete} --history",
            field="--change",
            value=change,
        )
    row = rows[0]
    setting, on, chair = row["setting"], row["on"], row["chair"]
    values, _, _ = one_sheet(sheet_rows(store, athlete, on, profile=profile, chair=chair), athlete)
    old, new = row["old_value"], row["new_value"]
    before = {name: value for name, value in values.items() if name != setting}
    if old is not None:
        before[setting] = old
    without = f"{setting} {figure(old)}, the sheet of {on} without {row['change']}"
    with_it = f"{setting} {figure(new)}, the same sheet with it"
    sheets = (
        Sheet(word="before", told=without, on=on, values=before),
        Sheet(word="after", told=with_it, on=on, values=values | {setting: new}),
    )
    return sheets, chair


def _days(
    store: Store, athlete: str, profile: int, chair: str | None, *, on: str | None, against: str | None
) -> tuple[tuple[Sheet, ...], str | None]:
    """Return the sheet of one day, or of two with the earlier one first."""
    from rampbook.reports.response import Sheet

    asked = {day(on, saving=False)}
    if against:
        asked.add(day(against, field="--against", saving=False))
    days = sorted(asked)
    words = ("before", "after") if len(days) == 2 else ("as set",)
    sheets, chairs = [], set()
    for word, when in zip(words, days, strict=True):
        values, driven, _ = one_sheet(sheet_rows(store, athlete, when, profile=profile, chair=chair), athlete)
        if not values:
            raise EntryError(
                f"Nothing is on the sheet of {athlete}, profile {profile}, for {when}. Name a later day, or log it: "
                f"rampbook sheet {athlete} --profile {profile} SETTING=VALUE ...",
                field="--on",
                value=str(when),
            )
        chairs.add(driven)
        sheets.append(Sheet(word=word, told=f"the sheet as it stood on {when}", on=when, values=values))
    if len(chairs) > 1:
        raise EntryError(
            f"{athlete} drove two chairs on those days ({', '.join(sorted(map(str, chairs)))}): numbers of two scales "
            "are never compared. Name days of one chair.",
            field="--against",
        )
    return tuple(sheets), chairs.pop()


def _write(drawing: ResponseDrawing, folder: Path, name: str) -> list[Path]:
    """Write the page and the pictures; return where.

    Raises
    ------
    ReportError
        When a file of another kind lies there, or the system does not let it be written.
    """
    from rampbook.charts.render import to_png, to_svg
    from rampbook.charts.response_page import MARK, response_html
    from rampbook.charts.response_picture import response_spec

    page = folder / f"{name}.html"
    with writing(page, option="--out"):
        if page.exists() and MARK not in page.read_text("utf-8", errors="replace")[:2000]:
            raise ReportError(f"{page} is there already and is no page of Rampbook's. Name another folder with --out.")
    spec = response_spec(drawing)
    contents = {
        page: response_html(drawing).encode("utf-8"),
        folder / f"{name}.svg": to_svg(spec).encode("utf-8"),
        folder / f"{name}.png": to_png(spec),
    }
    for path, content in contents.items():
        with writing(path, option="--out"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
    return list(contents)


def _lines(drawing: ResponseDrawing, files: Sequence[Path]) -> list[str]:
    from rampbook.charts.response_words import findings, sections

    lines = [drawing.title, *(f"{side.word.capitalize()}: {side.told}." for side in drawing.sides), ""]
    lines += findings(drawing)
    for part in sections(drawing):
        lines += section(f"{part.heading}:", part.paragraphs)
    return [*lines, "", *(f"Written: {path}" for path in files)]


def _document(drawing: ResponseDrawing, files: Sequence[Path]) -> dict[str, Any]:
    """Return the JSON answer: every curve and motion, unrounded."""
    from rampbook.charts.response_document import document

    return document(drawing) | {"files": [str(path) for path in files]}


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="response")(response)
