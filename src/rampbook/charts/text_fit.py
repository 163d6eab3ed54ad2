"""How wide a text is, and where to break it, so that nothing is ever wider than its panel."""

from __future__ import annotations

import re

# Letter widths in thousandths of the letter size, of Liberation Sans (the same as Arial's), read from the
# font files.
_REGULAR = {
    191: "'", 222: "ijl‘’", 260: "|", 278: " \u00a0!,./:;I[\\]ft·", 333: "()-`r“”", 334: "{}", 355: '"',
    389: "*", 469: "^", 500: "Jcksvxyz", 549: "±≥≤", 556: "#$0123456789?L_abdeghnopqu–éü", 584: "+<=>~−×",
    611: "FTZ", 667: "&ABEKPSVXY", 722: "CDHNRUw", 778: "GOQ", 833: "Mm", 834: "½", 889: "%", 944: "W",
    1000: "—→←…", 1015: "@",
}  # fmt: skip
_BOLD = {
    238: "'", 278: " \u00a0,./I\\ijl·‘’", 280: "|", 333: "!()-:;[]`ft", 389: "*r{}", 474: '"', 500: "z“”",
    549: "±≥≤", 556: "#$0123456789J_aceksvxy–é", 584: "+<=>^~−×", 611: "?FLTZbdghnopquü", 667: "EPSVXY",
    722: "&ABCDHKNRU", 778: "GOQw", 833: "M", 834: "½", 889: "%m", 944: "W", 975: "@", 1000: "—→←…",
}  # fmt: skip
_REGULAR_WIDTHS = {letter: width for width, letters in _REGULAR.items() for letter in letters}
_BOLD_WIDTHS = {letter: width for width, letters in _BOLD.items() for letter in letters}
# A letter that is not in the tables may be wide (a Greek or Chinese one): count it as a full square.
_UNKNOWN = 1000
# Room for a reader's machine that has none of our fonts and puts a slightly wider one in their place.
SAFETY = 1.06


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Measure a text of one line in pixels, a little on the safe side.

    Parameters
    ----------
    text : str
        One line.
    size : float
        Letter size in pixels.
    bold : bool
        Whether it is set in bold.
    """
    widths = _BOLD_WIDTHS if bold else _REGULAR_WIDTHS
    return SAFETY * size * sum(widths.get(letter, _UNKNOWN) for letter in text) / 1000


def wrap(text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """Break a text into lines that are no wider than ``width`` pixels; a word that is too wide alone is cut.

    Returns
    -------
    list of str
        At least one line; the words in their order.
    """
    lines: list[str] = []
    line = ""
    for word in text.replace("\n", " ").split(" "):
        if not word:
            continue
        longer = f"{line} {word}" if line else word
        if text_width(longer, size, bold=bold) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _cut(word, width, size, bold=bold)
        lines.extend(full)
    lines.append(line)
    return lines


def unbroken(text: str) -> str:
    """Keep "80 → 65" and a value behind its word together when the text is broken into lines."""
    text = re.sub(r"(?<=\d) → (?=\d)", "\u00a0→\u00a0", text)
    return re.sub(r"\b(at|of|to) (?=\d)", "\\1\u00a0", text)


def _cut(word: str, width: float, size: float, *, bold: bool) -> list[str]:
    """Cut one word into pieces that fit; most words are one piece."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and text_width(pieces[-1] + letter, size, bold=bold) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces
