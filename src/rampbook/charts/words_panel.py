"""The words inside the picture: verdict, rung, what may be said, what is not shown, what to know first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rampbook.charts import theme
from rampbook.charts.marks import Layer, Row, boxes, lines_of_text, panel, text
from rampbook.charts.strip_labels import Flag
from rampbook.charts.text_fit import text_width, wrap
from rampbook.charts.theme import Layout
from rampbook.charts.words import RUNGS, counted_words, rung_words, verdict_words
from rampbook.evidence.finding import Finding

DASH = "\N{EN DASH}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One heading with its paragraphs."""

    heading: str
    paragraphs: tuple[str, ...]


def header_panel(finding: Finding, layout: Layout) -> dict[str, Any]:
    """Draw the title, and under it the strongest sentence that the record allows."""
    title = wrap(finding.drawing.title, layout.total, layout.title, bold=True)
    sentence = wrap(finding.allowed_sentence, layout.total, layout.sentence)
    first, second = layout.title * 1.3, layout.sentence * 1.35
    layers = [
        lines_of_text(title, name="title", x=0, top=0, leading=first, fontSize=layout.title, fontWeight="bold"),
        lines_of_text(
            sentence,
            name="allowed sentence",
            x=0,
            top=first * len(title) + 2,
            leading=second,
            fontSize=layout.sentence,
        ),
    ]
    return panel(layers, name="header", width=layout.total, height=first * len(title) + second * len(sentence) + 14)


def belief_sections(finding: Finding) -> list[Section]:
    """Give what belongs beside the effect: the verdict and the rung."""
    return [
        Section(heading="Verdict", paragraphs=(verdict_words(finding),)),
        Section(heading="Rung", paragraphs=(rung_words(finding.rung),)),
    ]


def limit_sections(finding: Finding, homeless: list[Flag]) -> list[Section]:
    """Give the limits: what is not shown, what to know first, and what found no room in the plot."""
    sections = [
        Section(heading="Not shown", paragraphs=finding.not_shown),
        Section(heading="Know first", paragraphs=tuple(warned.message for warned in finding.warnings)),
        Section(heading="Also logged", paragraphs=tuple(flag.told for flag in homeless)),
        Section(heading="Rests on", paragraphs=(counted_words(finding),)),
    ]
    return [section for section in sections if section.paragraphs]


def words_panel(
    sections: list[Section], layout: Layout, *, name: str, width: float, rung: str | None = None
) -> dict[str, Any]:
    """Draw sections under each other; beside the heading of the rung, the steps reached are filled."""
    size, leading = layout.body, layout.body * 1.32
    layers: list[Layer] = []
    top = 0.0
    for section in sections:
        layers.append(
            lines_of_text(
                [section.heading],
                name=f"{section.heading} heading",
                x=0,
                top=top,
                leading=leading,
                fontSize=layout.small,
                fontWeight="bold",
                color=theme.QUIET_INK,
            )
        )
        if section.heading == "Rung" and rung in RUNGS:
            start = text_width(section.heading, layout.small, bold=True) + 8
            layers += _steps(RUNGS.index(rung), start, top + leading / 2)
        top += leading
        rows, top = _paragraphs(section, width, size, top, leading)
        weight = "bold" if section.heading in ("Verdict", "Rung") else "normal"
        layers.append(text(rows, name=section.heading, fontSize=size, fontWeight=weight))
        top += leading * 0.45
    return panel(layers, name=name, width=width, height=top)


def _paragraphs(section: Section, width: float, size: float, top: float, leading: float) -> tuple[list[Row], float]:
    """Break paragraphs into lines; where there are several each gets a dash and hangs behind it."""
    rows: list[Row] = []
    is_list = len(section.paragraphs) > 1
    indent = 12.0 if is_list else 0.0
    is_bold = section.heading in ("Verdict", "Rung")
    for paragraph in section.paragraphs:
        for i, line in enumerate(wrap(paragraph, width - indent, size, bold=is_bold)):
            if is_list and i == 0:
                rows.append({"px": 0.0, "py": top + leading / 2, "text": DASH})
            rows.append({"px": indent, "py": top + leading / 2, "text": line})
            top += leading
    return rows, top


def _steps(reached: int, start: float, middle: float) -> list[Layer]:
    rows: list[list[Row]] = [[], []]
    for i in range(len(RUNGS)):
        left = start + 16 * i
        rows[i <= reached].append({"px": left, "px2": left + 12, "py": middle - 4, "py2": middle + 4})
    return [
        boxes(rows[1], name="steps reached", color=theme.INK),
        boxes(rows[0], name="steps not reached", color=theme.TOO_SMALL),
    ]
