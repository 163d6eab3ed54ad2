"""``rampbook demo``: the main job on the invented club, whose true effects are known."""

from __future__ import annotations

import sys
from datetime import date, datetime
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rampbook.cli.output import print_json, print_lines, print_notes, table, writing
from rampbook.errors import ReportError

if TYPE_CHECKING:
    from types import ModuleType

    from rampbook.cli.judge import Judged
    from rampbook.reports.season import Picture
    from rampbook.store import Store
    from rampbook.store.load import LoadReport

_PACKAGE = Path(__file__).resolve().parents[1]
_PROJECT = Path(__file__).resolve().parents[3]
MARK = "rampbook-demo.txt"
MARK_TEXT = "Made by `rampbook demo`. Everything in this folder is invented, and made anew by the next run.\n"


def demo(
    out: Annotated[Path, typer.Option(help="The folder to write.")] = Path("rampbook-demo"),
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Build an invented club, judge each of its changes beside the truth, and write its season review."""
    from rampbook.store import open_store
    from rampbook.store.load import load_paths

    invented = invented_club()
    claim_folder(out)
    print_notes([f"Writing the invented club to {out / 'sheets'} and loading it."])
    invented.club.write_tables(out / "sheets")
    with open_store(out / "club.duckdb") as book:
        report = load_paths(book, [out / "sheets"])
        print_notes(["Estimating its changes and drawing them."])
        judged, drawn = judge_changes(book, invented.stories.TRUTHS)
        paths = write_pages(book, judged, drawn, out, invented.stories.SEASON_FROM)
    unplanned = len(report.set_aside) - len(invented.stories.BAD_ROWS)
    if json:
        print_json(_document(judged, report, paths))
    else:
        print_lines(_lines(judged, report, invented.stories.BAD_ROWS, paths))
    raise typer.Exit(1 if unplanned or any(one.judgement == "WRONG" for one in judged) else 0)


def invented_club() -> ModuleType:
    """Return the invented club's package: inside ours from a wheel, at the top of the project otherwise.

    Raises
    ------
    ReportError
        When the installation has lost it.
    """
    for folder in (_PACKAGE / "demo_data", _PROJECT / "demo_data"):
        if (folder / "club.py").is_file():
            return _imported("rampbook_demo_data", folder)
    raise ReportError(f"The invented club that belongs in {_PACKAGE / 'demo_data'} is missing. Install Rampbook again.")


def claim_folder(out: Path) -> None:
    """Make the folder ready: a new or empty one, or an earlier demo, whose store is taken away.

    Raises
    ------
    ReportError
        When it holds anything else, or the system does not let it be written.
    """
    with writing(out, option="--out"):
        if out.exists() and not out.is_dir():
            raise ReportError(f"{out} is a file. Name a folder with --out; nothing was written.")
        if out.is_dir() and any(out.iterdir()) and not (out / MARK).is_file():
            raise ReportError(
                f"{out} is not empty and was not made by the demo. Name another folder with --out; nothing was written."
            )
        out.mkdir(parents=True, exist_ok=True)
        (out / MARK).write_text(MARK_TEXT, encoding="utf-8")
        for name in ("club.duckdb", "club.duckdb.wal"):
            (out / name).unlink(missing_ok=True)


def judge_changes(store: Store, truths: tuple[Any, ...]) -> tuple[list[Judged], list[Picture]]:
    """Estimate every change and outcome whose truth is known, judge what was said, and draw it meanwhile."""
    from rampbook.cli.judge import judge
    from rampbook.reports.pictures import draw_one, drawing_aside
    from rampbook.workflow import effect_of_change

    judged, drawings = [], []
    with drawing_aside() as helpers:
        for truth in truths:
            finding = effect_of_change(store, truth.change, truth.outcome, sensitivity=False)
            judged.append(judge(truth, finding))
            drawings.append(helpers.submit(draw_one, finding))
        return judged, [drawing.result() for drawing in drawings]


def write_pages(store: Store, judged: list[Judged], drawn: list[Picture], out: Path, first_day: date) -> dict[str, str]:
    """Write the season review, and one picture a change as SVG; return where they are."""
    from rampbook.cli.review import make_review, write_page
    from rampbook.domain.season import season_of

    findings = [one.finding for one in judged]
    pictures = {(finding.change, finding.outcome): one for finding, one in zip(findings, drawn, strict=True)}
    review = make_review(
        store,
        findings,
        athlete=None,
        season=season_of(first_day),
        made_at=datetime.now().astimezone(),
        draw=lambda finding: pictures[finding.change, finding.outcome],
    )
    write_page(review, out / "season-review.html")
    for finding, one in zip(findings, drawn, strict=True):
        _write_picture(f"{finding.change}-{str(finding.outcome).replace(':', '-')}", one, out / "pictures")
    return {
        "folder": str(out),
        "sheets": str(out / "sheets"),
        "store": str(out / "club.duckdb"),
        "review": str(out / "season-review.html"),
        "pictures": str(out / "pictures"),
    }


def _write_picture(name: str, drawn: Picture, folder: Path) -> None:
    folder.mkdir(exist_ok=True)
    (folder / f"{name}.svg").write_text(drawn.svg, encoding="utf-8")


def _imported(name: str, folder: Path) -> ModuleType:
    """Import a package from a folder that is not on the import path; its modules come with it."""
    if name in sys.modules:
        return sys.modules[name]
    spec = spec_from_file_location(name, folder / "__init__.py", submodule_search_locations=[str(folder)])
    if spec is None or spec.loader is None:
        raise ReportError(f"The invented club in {folder} cannot be read. Install Rampbook again.")
    package = module_from_spec(spec)
    sys.modules[name] = package
    spec.loader.exec_module(package)
    return package


def _document(judged: list[Judged], report: LoadReport, paths: dict[str, str]) -> dict[str, Any]:
    return {
        "changes": [
            {
                "change": one.truth.change, "outcome": one.truth.outcome, "story": one.truth.story,
                "truth": one.truth.effect, "scale": one.truth.scale, "may_say": one.truth.may_say,
                "estimate": one.finding.estimate, "low": one.finding.low, "high": one.finding.high,
                "verdict": one.finding.verdict, "rung": one.finding.rung,
                "sentence": one.finding.allowed_sentence, "interval_holds_truth": one.holds,
                "judgement": one.judgement,
            }
            for one in judged
        ],
        "load": report.to_dict(),
        "paths": paths,
    }  # fmt: skip


def _lines(judged: list[Judged], report: LoadReport, bad_rows: tuple[Any, ...], paths: dict[str, str]) -> list[str]:
    headings = ("change", "outcome", "what happened", "truth", "found", "verdict", "rung", "said")
    rows = [
        (
            one.truth.change, one.truth.outcome, one.truth.story.partition(";")[0], _truth(one), _found(one),
            one.finding.verdict, one.finding.rung, one.judgement,
        )
        for one in judged
    ]  # fmt: skip
    return [
        f"{sum(report.loaded.values())} rows loaded; {len(report.set_aside)} set aside, "
        f"{len(bad_rows)} of them wrong on purpose.",
        "",
        *table(headings, rows),
        "",
        *_tally(judged),
        "",
        f"Season review: {paths['review']}",
        f"Pictures:      {paths['pictures']}",
        f"Store:         {paths['store']}",
        f"Sheets:        {paths['sheets']}",
    ]


def _tally(judged: list[Judged]) -> list[str]:
    """Say how often the tool was right, and how often its interval held the truth."""
    from rampbook.cli.judge import FALSE_ALARM, MISSED, RIGHT, RIGHTLY_SILENT, WRONG

    words = (RIGHT, RIGHTLY_SILENT, MISSED, FALSE_ALARM, WRONG)
    counts = [(word, sum(one.judgement == word for one in judged)) for word in words]
    holds = [one.holds for one in judged if one.holds is not None]
    return [
        f"{len(judged)} comparisons: " + ", ".join(f"{n} {word}" for word, n in counts) + ".",
        f"The interval holds the truth in {sum(holds)} of the {len(holds)} that are about one setting alone.",
        '"missed": silent about a true effect. "rightly cannot tell": silent where no record could say more.',
    ]


def _truth(one: Judged) -> str:
    return f"x {one.truth.effect:.2f}" if one.truth.scale == "ratio" else f"{one.truth.effect:+.1f}"


def _found(one: Judged) -> str:
    finding = one.finding
    if finding.estimate is None or finding.low is None or finding.high is None:
        return "no estimate"
    if one.truth.scale == "ratio":
        return f"x {finding.estimate:.2f} ({finding.low:.2f} to {finding.high:.2f})"
    return f"{finding.estimate:+.1f} ({finding.low:+.1f} to {finding.high:+.1f})"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="demo")(demo)
