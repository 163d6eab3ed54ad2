"""The charts of the study: false positives of every method, Rampbook in every cell, and power beside the oracle's."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from analyses.calibration.cells import AUTOCORRELATIONS
from analyses.calibration.designs import DESIGNS
from analyses.calibration.judge import LEAST_COVERAGE, LEAST_FALSE, LEAST_POWER_RATIO, MOST_COVERAGE, MOST_FALSE
from analyses.calibration.study import Row
from analyses.calibration.usual import METHODS
from analyses.calibration.words import DESIGN_WORDS, KIND_WORDS, METHOD_WORDS, OURS, VARIANT_WORDS, company
from rampbook.charts.render import to_svg
from rampbook.charts.theme import FONT, INK, OLD, QUIET_INK, RULE, TOO_SMALL

# Told apart by lightness and by shape, dark for the strongest.
COLOURS, SHAPES = ["#7fa6cc", "#d9822b", OLD], ["circle", "triangle-up", "square"]
SMALL, BODY, TITLE = 12, 13, 16


def write_pictures(rows: Sequence[Row], folder: Path) -> None:
    """Write the charts as SVG."""
    found = {
        "false_positives_times.svg": false_positives(rows, "time", "Drill times: changes that did nothing"),
        "false_positives_counts.svg": false_positives(rows, "count", "Counts: changes that did nothing"),
        "every_cell.svg": every_cell(rows),
        "power.svg": power(rows),
    }
    for name, spec in found.items():
        if spec is not None:
            (folder / name).write_text(_shorter(to_svg(spec)), encoding="utf-8")


def _shorter(svg: str) -> str:
    """Cut coordinates to a hundredth of a pixel: thousands of marks make large files."""
    return re.sub(r"(\d\.\d\d)\d+", r"\1", svg)


def _finished(chart: Any, title: str, subtitle: list[str]) -> dict[str, Any]:
    """Set letters, colours and the title, and give the specification."""
    styled = (
        chart.properties(
            title={
                "text": title, "subtitle": subtitle, "anchor": "start", "fontSize": TITLE, "color": INK,
                "subtitleFontSize": BODY, "subtitleColor": QUIET_INK, "offset": 12,
            },
            description=f"{title}. {' '.join(subtitle)}",
        )
        .configure(font=FONT, padding=12, background="white", aria=False)
        .configure_view(stroke=RULE)
        .configure_axis(
            labelFontSize=SMALL, titleFontSize=BODY, titleFontWeight="normal", labelColor=INK, titleColor=INK,
            gridColor=RULE, domainColor=QUIET_INK, tickColor=QUIET_INK, labelLimit=260,
        )
        .configure_header(labelFontSize=BODY, labelColor=INK, labelFontWeight="bold", title=None)
        .configure_legend(
            labelFontSize=SMALL, titleFontSize=BODY, titleFontWeight="normal", orient="top", symbolSize=90,
            titleLimit=400,
        )
    )  # fmt: skip
    spec: dict[str, Any] = styled.to_dict()
    return spec


def _by_rho() -> dict[str, Any]:
    """Colour and shape of the autocorrelation, in one legend."""
    import altair as alt

    words = [f"{rho:g}" for rho in AUTOCORRELATIONS]
    title = "correlation between neighbouring practices"
    return {
        "color": alt.Color("rho:N", title=title, scale=alt.Scale(domain=words, range=COLOURS)),
        "shape": alt.Shape("rho:N", title=title, scale=alt.Scale(domain=words, range=SHAPES)),
    }


def _band(low: float, high: float, scale: Any) -> Any:
    """Shade what the bars allow, once a panel and not once a mark."""
    import altair as alt

    return alt.Chart().transform_aggregate(marks="count()").mark_rect(color=TOO_SMALL).encode(
        x=alt.X(datum=low, type="quantitative", scale=scale), x2=alt.X2(datum=high)
    )  # fmt: skip


def _ours_bold() -> Any:
    return {"condition": {"test": f"datum.value === '{OURS}'", "value": "bold"}, "value": "normal"}


def highest_shares(rows: Sequence[Row], kind: str) -> list[dict[str, Any]]:
    """Give the highest false positives of each method, design and autocorrelation, without an untouched series."""
    highest: dict[tuple[str, str, str], float] = {}
    for row in rows:
        if row.cell.kind != kind or row.cell.compared:
            continue
        shares = {OURS: row.measured.false_positives, **{METHOD_WORDS[name]: row.usual[name] for name in row.usual}}
        for method, share in shares.items():
            key = (DESIGN_WORDS[row.cell.design], method, f"{row.cell.rho:g}")
            highest[key] = max(share, highest.get(key, 0.0))
    return [{"design": d, "method": m, "rho": r, "share": s} for (d, m, r), s in highest.items()]


def false_positives(rows: Sequence[Row], kind: str, title: str) -> dict[str, Any] | None:
    """Draw the highest share of do-nothing changes called an effect, by design and method."""
    import altair as alt

    values = highest_shares(rows, kind)
    if not values:
        return None
    over = "learning, gaps, mean and dispersion" if kind == "count" else "learning and gaps"
    scale = alt.Scale(type="sqrt", domain=[0, 1])
    ticks = [0, 0.02, 0.05, 0.1, 0.2, 0.4, 0.7, 1]
    order = [OURS, *(METHOD_WORDS[name] for name in METHODS)]
    points = alt.Chart().mark_point(filled=True, size=42, opacity=0.95).encode(
        x=alt.X("share:Q", scale=scale, title=None, axis=alt.Axis(format="%", values=ticks)),
        y=alt.Y("method:N", sort=order, title=None, axis=alt.Axis(grid=True, labelFontWeight=_ours_bold())),
        yOffset=alt.YOffset("rho:N"),
        **_by_rho(),
    )  # fmt: skip
    panels = (
        alt.layer(_band(LEAST_FALSE, MOST_FALSE, scale), points, data=alt.Data(values=values))
        .properties(width=300, height=240)
        .facet(facet=alt.Facet("design:N", sort=[DESIGN_WORDS[name] for name in DESIGNS], title=None), columns=2)
    )
    return _finished(
        panels,
        title,
        [
            f"Share called an effect at 5%, the highest over {over}; no untouched series.",
            f"Grey: {LEAST_FALSE:.0%} to {MOST_FALSE:.1%}, which an honest method keeps.",
        ],
    )


def every_cell(rows: Sequence[Row]) -> dict[str, Any]:
    """Draw false positives and coverage of Rampbook in every cell."""
    import altair as alt

    values = [
        {
            "kind": VARIANT_WORDS[row.cell.variant],
            "rho": f"{row.cell.rho:g}",
            "false": row.measured.false_positives,
            "held": row.measured.coverage_effect,
        }
        for row in rows
    ]
    panels = [
        _strip(values, "false", "changes that did nothing, called an effect", (LEAST_FALSE, MOST_FALSE), (0.0, 0.12)),
        _strip(
            values, "held", "95% intervals that hold the true effect", (LEAST_COVERAGE, MOST_COVERAGE), (0.88, 1.0),
            names=False,
        ),
    ]  # fmt: skip
    return _finished(
        alt.hconcat(*panels, spacing=24),
        "Rampbook in every cell of the study",
        ["One mark a cell: a design, with or without learning, a break, an untouched series. Grey: the bars."],
    )


def _strip(
    values: list[dict[str, Any]],
    column: str,
    title: str,
    bars: tuple[float, float],
    reach: tuple[float, float],
    *,
    names: bool = True,
) -> Any:
    import altair as alt

    seen = [value[column] for value in values]
    scale = alt.Scale(domain=[min(reach[0], *seen), max(reach[1], *seen)], nice=False)
    axis = alt.Axis(labels=names, ticks=False, minExtent=0, labelPadding=8)
    points = alt.Chart().mark_point(filled=True, size=32, opacity=0.7).encode(
        x=alt.X(f"{column}:Q", scale=scale, title=title, axis=alt.Axis(format=".0%", tickCount=6)),
        y=alt.Y("kind:N", sort=list(VARIANT_WORDS.values()), title=None, axis=axis),
        yOffset=alt.YOffset("rho:N"),
        **_by_rho(),
    )  # fmt: skip
    return alt.layer(_band(*bars, scale), points, data=alt.Data(values=values)).properties(width=330, height=470)


def _found_by_both(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Give the power of the oracle and of Rampbook, one record a cell."""
    return [
        {
            "kind": KIND_WORDS[row.cell.kind],
            "company": company(row.cell),
            "rho": f"{row.cell.rho:g}",
            "oracle": row.oracle.z,
            "power": row.measured.power,
        }
        for row in rows
    ]


def power(rows: Sequence[Row]) -> dict[str, Any]:
    """Draw the power of Rampbook over that of an oracle, every cell, one panel a kind and company."""
    import altair as alt

    values = _found_by_both(rows)
    unit = alt.Scale(domain=[0, 1])
    quarters = alt.Axis(format="%", values=[0, 0.25, 0.5, 0.75, 1])
    oracle = alt.X("oracle:Q", scale=unit, title="oracle", axis=quarters)
    points = alt.Chart().mark_point(filled=True, size=32, opacity=0.75).encode(
        x=oracle, y=alt.Y("power:Q", scale=unit, title="Rampbook", axis=quarters), **_by_rho()
    )  # fmt: skip
    lines = [
        alt.Chart()
        .transform_aggregate(cells="count()")
        .transform_calculate(oracle="[0, 1]", reached=f"[0, {share}]")
        .transform_flatten(["oracle", "reached"])
        .mark_line(color=QUIET_INK, strokeWidth=1.2, strokeDash=dash)
        .encode(x=oracle, y=alt.Y("reached:Q", scale=unit))
        for share, dash in ((1.0, [1, 0]), (LEAST_POWER_RATIO, [5, 4]))
    ]
    kinds = [words for words in KIND_WORDS.values() if any(value["kind"] == words for value in values)]
    panels = (
        alt.layer(*lines, points, data=alt.Data(values=values))
        .properties(width=270, height=200)
        .facet(row=alt.Row("kind:N", sort=kinds, title=None), column=alt.Column("company:N", title=None))
    )
    return _finished(
        panels,
        "Effects that are found, beside an oracle",
        [
            "The oracle knows the autocorrelation and the variances, and like Rampbook allows a step that both series",
            "share at the change. One mark a cell. Full line: as often as the oracle. "
            f"Dashed: {LEAST_POWER_RATIO:.0%} of that, the bar.",
        ],
    )
