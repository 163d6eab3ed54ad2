"""How a result is printed: words first, then the numbers, then what depends on the method."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from rampbook.cli.output import section, writing
from rampbook.errors import EntryError

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from rampbook.effect import Effect
    from rampbook.evidence.finding import SensitivityRow


def wants_person(effect: Effect) -> int:
    """Give the exit code: 1 when there is no estimate, so that a person must look; else 0."""
    return 0 if effect.estimate is not None else 1


@contextmanager
def drawing_of(path: Path | None) -> Iterator[Callable[[Effect], None]]:
    """Give what writes the picture of an effect where asked, as its ending says; a path of None writes nothing.

    The engine of the drawing starts meanwhile in a process of its own: it takes as long as the first estimate.

    Raises
    ------
    EntryError
        When the ending is none of .svg, .png and .html.
    ReportError
        When the system does not let it be written.
    """
    if path is None:
        yield lambda effect: None
        return
    if path.suffix.lower() not in (".svg", ".png", ".html"):
        raise EntryError(f'"{path}" must end in .svg, .png or .html.', field="picture", value=str(path))
    from rampbook.reports.pictures import drawing_aside

    with drawing_aside() as helpers:
        yield lambda effect: _write_picture(effect, path, helpers)


def _write_picture(effect: Effect, path: Path, helpers: Executor) -> None:
    from rampbook.charts.effect_picture import effect_spec
    from rampbook.charts.page import to_html
    from rampbook.charts.render import to_png, to_svg

    if path.suffix.lower() == ".png":
        content = helpers.submit(to_png, effect_spec(effect)).result()
    elif path.suffix.lower() == ".svg":
        content = helpers.submit(to_svg, effect_spec(effect)).result().encode("utf-8")
    else:
        content = helpers.submit(to_html, effect).result().encode("utf-8")
    with writing(path, option="--picture"):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def print_effect(effect: Effect, *, as_json: bool) -> None:
    """Print a result for a person, or as one JSON document."""
    if as_json:
        typer.echo(json.dumps(effect.to_dict(), ensure_ascii=False, allow_nan=False))
        return
    for line in lines_of(effect):
        typer.echo(line)


def lines_of(effect: Effect) -> list[str]:
    """Give the printed lines of a result."""
    from rampbook.evidence.fragile_words import fragile_words
    from rampbook.evidence.look_words import look_words

    n = effect.n
    out = [effect.drawing.title] if effect.change else []
    out += [
        effect.allowed_sentence,
        "",
        f"Verdict   {effect.verdict}",
        f"Rung      {effect.rung}",
        f"Estimate  {_interval(effect)}",
        f"Matters   {_matters(effect)}",
        f"Practices {n['before']} with the old setting, {n['after']} with the new ({n['attempts']} entries)",
    ]
    looks = look_words(effect)
    out += [f"Looks     {looks}"] if looks else []
    if effect.practices_to_settle is not None:
        out.append(
            f"To settle about {effect.practices_to_settle} more practices with the new setting, if all goes on so"
        )
    out += ["", "Not shown:"] + [f"  - {text}" for text in effect.not_shown]
    out += (["", "Mind:"] + [f"  - {warning.message}" for warning in effect.warnings]) if effect.warnings else []
    out += section("How fragile is it:", fragile_words(effect))
    if any(row.estimate is not None for row in effect.sensitivity):
        out += ["", "The same series by textbook methods (they are often too sure; 95% intervals):"]
        out += [f"  {_row(row)}" for row in effect.sensitivity if row.estimate is not None]
    return out


def _p(p: float) -> str:
    return "p below 0.0001" if p < 0.0001 else f"p {p:.2g}"


def _interval(effect: Effect) -> str:
    if effect.estimate is None or effect.low is None or effect.high is None or effect.p is None:
        return "none"
    return (
        f"{effect.estimand} {effect.estimate:.3g} ({effect.confidence:.0%} interval {effect.low:.3g} to "
        f"{effect.high:.3g}, {_p(effect.p)}); {effect.kind.no_effect:g} means no effect"
    )


def _matters(effect: Effect) -> str:
    if effect.worthwhile is None:
        return "not known, so nothing is called better: say it with --worthwhile"
    return f"from {effect.estimand} {effect.worthwhile:.3g}"


def _row(row: SensitivityRow) -> str:
    shown = f"{row.name:<18} {row.estimate:>8.3g}"
    if row.low is not None and row.high is not None:
        shown += f"  {row.low:.3g} to {row.high:.3g}"
    return shown + (f"  {_p(row.p)}" if row.p is not None else "")
