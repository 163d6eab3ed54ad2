"""One athlete's season: each outcome in its own small panel, with what was changed and logged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, Literal

from rampbook.charts import theme
from rampbook.charts.effect_picture import SCHEMA
from rampbook.charts.marks import Axis, Layer, Row, down, layer, level, lines_of_text, panel, rules, text, upright
from rampbook.charts.strip_labels import Flag, Placed, place_labels
from rampbook.charts.text_fit import unbroken, wrap
from rampbook.charts.ticks import day, number, round_ticks, thin
from rampbook.units import RATING_HIGH, RATING_LOW, KindName

if TYPE_CHECKING:
    import altair as alt

SIZE = 12.0
LEADING = 16.0
HEIGHT = 74.0
TOTALS = {"wide": 1020.0, "narrow": 340.0}
LEFT = 42.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonPoint:
    """One practice of one outcome: ``series`` names the small panel, ``axis`` says what its values are."""

    series: str
    kind: KindName
    axis: str
    on: date
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonMark:
    """A change or an event of the season; ``role`` is ``change`` or ``event``."""

    on: date
    text: str
    role: Literal["change", "event"]


def season_timeline(
    points: Sequence[SeasonPoint],
    marks: Sequence[SeasonMark],
    *,
    title: str,
    width: Literal["wide", "narrow"] = "wide",
) -> alt.VConcatChart:
    """Give the season as an Altair chart; see ``season_spec``."""
    from rampbook.charts.as_altair import Picture

    return Picture(**season_spec(points, marks, title=title, width=width))


def season_spec(
    points: Sequence[SeasonPoint],
    marks: Sequence[SeasonMark],
    *,
    title: str,
    width: Literal["wide", "narrow"] = "wide",
) -> dict[str, Any]:
    """Give the season as a Vega-Lite specification.

    Parameters
    ----------
    points : sequence of SeasonPoint
        In any order; the panels stand in the order in which their series first appear.
    marks : sequence of SeasonMark
        Changes and events; those that find no room for a label are named beneath.
    title : str
        Whose season it is.
    width : {"wide", "narrow"}
        For a page (1040 px) or a telephone (360 px).
    """
    total = TOTALS[width]
    x = _dates(points, marks, total)
    flags = [
        Flag(x=x.at(mark.on.toordinal()), text=mark.text, role=mark.role, told=f"{day(mark.on)}: {mark.text}")
        for mark in marks
    ]
    placed, homeless = place_labels(flags, left=0.0, right=total, size=SIZE)
    series = enumerate(_by_series(points).items())
    small = [_small_panel(name, ones, marks, x, total, i) for i, (name, ones) in series]
    panels = [
        _header(title, placed, total),
        *small,
        _date_axis(x, total, homeless),
    ]
    return {
        "$schema": SCHEMA,
        "description": season_alt_text(points, marks, title),
        "background": theme.PAPER,
        "padding": theme.MARGIN,
        "config": theme.config(),
        **down(panels),
    }


def season_alt_text(points: Sequence[SeasonPoint], marks: Sequence[SeasonMark], title: str) -> str:
    """Say the season in words: what was practised how often, and what was changed and logged when."""
    counts = [f"{name}: {len(ones)} practices, {ones[0].axis}." for name, ones in _by_series(points).items()]
    told = [f"{day(mark.on)}: {mark.text}." for mark in sorted(marks, key=lambda mark: mark.on)]
    return " ".join([f"{title}.", *counts, *told])


def _by_series(points: Sequence[SeasonPoint]) -> dict[str, list[SeasonPoint]]:
    series: dict[str, list[SeasonPoint]] = {}
    for point in points:
        series.setdefault(point.series, []).append(point)
    return series


def _dates(points: Sequence[SeasonPoint], marks: Sequence[SeasonMark], total: float) -> Axis:
    days = [one.toordinal() for one in (*(point.on for point in points), *(mark.on for mark in marks))] or [
        date(2000, 1, 1).toordinal()
    ]
    return Axis(low=min(days) - 3, high=max(days) + 3, start=LEFT, end=total - 4)


def _header(title: str, placed: list[Placed], total: float) -> dict[str, Any]:
    lines = wrap(title, total, 17, bold=True)
    rows = max((label.top_row + 1 for label in placed), default=0)
    bottom = 23 * len(lines) + 6 + LEADING * rows
    written: dict[str, list[Row]] = {"change": [], "event": []}
    leaders: dict[str, list[Row]] = {"change": [], "event": []}
    for label in placed:
        role, at = label.flag.role, label.flag.x
        leaders[role].append({"px": at, "px2": at, "py": bottom - LEADING * (label.top_row + 1), "py2": bottom + 2})
        written[role] += [
            {"px": label.left, "py": bottom - LEADING * (label.top_row - i + 0.5), "text": line}
            for i, line in enumerate(label.lines)
        ]
    layers = [
        lines_of_text(lines, name="title", x=0, top=0, leading=23, fontSize=17, fontWeight="bold"),
        *(rules(leaders[role], name=f"{role} leaders", **_line(role)) for role in leaders),
        text(written["change"], name="changes", fontSize=SIZE, fontWeight="bold"),
        text(written["event"], name="events", fontSize=SIZE, color=theme.QUIET_INK),
    ]
    return panel(layers, name="season header", width=total, height=bottom + 2)


def _line(role: str) -> dict[str, Any]:
    if role == "change":
        return {"color": theme.INK, "strokeWidth": 1.4}
    return {"color": theme.EVENT_RULE, "strokeWidth": 1.2, "strokeDash": [2, 3]}


def _small_panel(
    name: str, points: list[SeasonPoint], marks: Sequence[SeasonMark], x: Axis, total: float, order: int
) -> dict[str, Any]:
    heading = wrap(f"{name}: {points[0].axis}", total, SIZE, bold=True)
    top = 11 + LEADING * len(heading)
    y = _values(points, top)
    ticks = round_ticks(y.low, y.high, at_most=4)
    names = [{"px": x.start - 6, "py": y.at(v), "text": number(v)} for v in ticks]
    quiet: dict[str, Any] = {"fontSize": SIZE, "color": theme.QUIET_INK}
    days: dict[str, list[float]] = {"change": [], "event": []}
    for mark in marks:
        days[mark.role].append(x.at(mark.on.toordinal()))
    layers = [
        rules(level((y.at(v) for v in ticks), x.start, x.end), name="value lines", color=theme.RULE),
        text(names, name="values", align="right", **quiet),
        *(rules(upright(days[role], top, top + HEIGHT), name=f"{role} lines", **_line(role)) for role in days),
        _practices(points, x, y),
        lines_of_text(heading, name="heading", x=0, top=6, leading=LEADING, fontSize=SIZE, fontWeight="bold"),
    ]
    return panel(layers, name=f"season {order}", width=total, height=top + HEIGHT + 4)


def _practices(points: list[SeasonPoint], x: Axis, y: Axis) -> Layer:
    rows = [{"on": point.on.toordinal(), "value": point.value} for point in points]
    look: dict[str, Any] = {"shape": "circle", "filled": True, "color": theme.OLD, "opacity": 1, "size": 34}
    encoding = {"x": x.spec("on"), "y": y.spec("value")}
    return layer(rows, "point", name="practices", encoding=encoding, stroke=theme.PAPER, strokeWidth=0.6, **look)


def _values(points: list[SeasonPoint], top: float) -> Axis:
    """Choose the value axis: counts from zero, ratings and shares whole, times as they spread."""
    values = [point.value for point in points]
    low, high = min(values), max(values)
    air = 0.1 * ((high - low) or abs(high) * 0.1 or 1.0)
    ends = {"count": (0.0, high + air), "rating": (RATING_LOW, RATING_HIGH), "success": (0.0, 1.0)}
    low, high = ends.get(points[0].kind, (max(low - air, 0.0), high + air))
    return Axis(low=low, high=high, start=top + HEIGHT, end=top)


def _date_axis(x: Axis, total: float, homeless: list[Flag]) -> dict[str, Any]:
    firsts = _month_starts(date.fromordinal(int(x.low)), date.fromordinal(int(x.high)))
    names = [day(first) for first in firsts]
    shown = thin([x.at(first.toordinal()) for first in firsts], names, SIZE)
    rows = [{"px": x.at(firsts[i].toordinal()), "py": 17, "text": names[i]} for i in shown]
    lines: list[Row] = [{"px": x.start, "px2": x.end, "py": 0, "py2": 0}]
    lines += [{"px": row["px"], "px2": row["px"], "py": 0, "py2": 5} for row in rows]
    told = wrap(_told(homeless), total, SIZE) if homeless else []
    layers = [
        rules(lines, name="date axis", color=theme.EVENT_RULE),
        text(rows, name="dates", align="center", fontSize=SIZE),
        lines_of_text(told, name="also logged", x=0, top=28, leading=LEADING, fontSize=SIZE, color=theme.QUIET_INK),
    ]
    return panel(layers, name="season dates", width=total, height=30 + LEADING * len(told))


def _told(homeless: list[Flag]) -> str:
    in_order = sorted(homeless, key=lambda flag: flag.x)
    return f"Also logged: {unbroken('; '.join(flag.told for flag in in_order))}."


def _month_starts(first: date, last: date) -> list[date]:
    """Give the first day of every month in a span; its ends instead where it holds no such day."""
    months = range(first.year * 12 + first.month - 1, last.year * 12 + last.month)
    starts = [date(month // 12, month % 12 + 1, 1) for month in months]
    return [start for start in starts if first <= start <= last] or [first, last]
