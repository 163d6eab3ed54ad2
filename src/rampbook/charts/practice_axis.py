"""The axis under the practices: dates where they are known, one step a practice, and what the marks are."""

from __future__ import annotations

from datetime import date
from typing import Any

from rampbook.charts import theme
from rampbook.charts.marks import Axis, Row, lines_of_text, panel, rules, text
from rampbook.charts.text_fit import wrap
from rampbook.charts.theme import Layout
from rampbook.charts.ticks import day, thin

BY_PRACTICE = "practices in order, one step each: learning is taken to run by practice, not by day"
BY_PRACTICE_NO_TREND = "practices in order, one step each"


def axis_panel(
    frames: dict[str, list[Row]], x: Axis, layout: Layout, notes: list[str], *, has_trend: bool
) -> dict[str, Any]:
    """Draw the axis, its title, and the notes that say what is what."""
    ticks = _ticks(frames["practices"], x, layout.small)
    small, leading = layout.small, layout.small * 1.3
    years = [{**row, "text": row["year"], "py": 9 + leading * 1.5} for row in ticks if row["year"]]
    marks = [{"px": row["px"], "px2": row["px"], "py": 0, "py2": 5} for row in ticks]
    line = [{"px": x.start, "px2": x.end, "py": 0, "py2": 0}]
    top = 10 + leading * (2 if years else 1)
    title = wrap(BY_PRACTICE if has_trend else BY_PRACTICE_NO_TREND, layout.main - 4, small)
    said = [line for note in notes for line in wrap(note, layout.main - 4, small)]
    layers = [
        rules(line + marks, name="practice axis", color=theme.EVENT_RULE),
        text(
            [{**row, "py": 9 + leading / 2} for row in ticks],
            name="practice names",
            align="center",
            fontSize=small,
        ),
        text(years, name="years", align="center", fontSize=small, color=theme.QUIET_INK),
        lines_of_text(
            title, name="practice title", x=0, top=top + 4, leading=leading, fontSize=small, fontWeight="bold"
        ),
        lines_of_text(
            said,
            name="notes",
            x=0,
            top=top + 8 + leading * len(title),
            leading=leading,
            fontSize=small,
            color=theme.QUIET_INK,
        ),
    ]
    return panel(layers, name="practice axis", width=layout.main, height=top + 12 + leading * (len(title) + len(said)))


def _ticks(practices: list[Row], x: Axis, size: float) -> list[Row]:
    places = [x.at(row["position"]) for row in practices]
    names = [_name(row) for row in practices]
    rows: list[Row] = []
    year = ""
    for i in thin(places, names, size):
        its_year = (practices[i]["on"] or "")[:4]
        rows.append({"px": places[i], "text": names[i], "year": its_year if its_year != year else ""})
        year = its_year
    return rows


def _name(row: Row) -> str:
    return day(date.fromisoformat(row["on"])) if row["on"] else str(row["label"])
