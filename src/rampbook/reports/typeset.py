"""Typesets a page as PDF: tagged, titled, in one language, with the typesetter's own fonts, nothing fetched."""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib import resources
from typing import Any, Literal

from rampbook.errors import ReportError

Paper = Literal["a4", "letter"]
# The typesetter's names for the two papers.
PAPERS: dict[Paper, str] = {"a4": "a4", "letter": "us-letter"}


def typeset(template: str, document: Mapping[str, Any], *, paper: Paper = "a4") -> bytes:
    """Return a PDF: the same bytes for the same document.

    Parameters
    ----------
    template : str
        Name of a file in ``reports/templates``, without ``.typ``.
    document : mapping
        What the template shows; plain values that JSON can hold.
    paper : str
        ``a4`` or ``letter``.

    Raises
    ------
    ReportError
        When the page cannot be set.
    """
    import typst

    source = resources.files("rampbook.reports").joinpath("templates", f"{template}.typ").read_bytes()
    inputs = {"document": json.dumps(document, ensure_ascii=False), "paper": PAPERS[paper]}
    try:
        # UA-1: read aloud in order, with a title and a language. Fonts of the system would differ by machine.
        made = typst.compile(
            source, format="pdf", sys_inputs=inputs, ignore_system_fonts=True, pdf_standards=["ua-1"], timestamp=0
        )
    except typst.TypstError as error:
        raise ReportError(f"The page could not be set as PDF ({error}). Nothing was written.") from error
    if not isinstance(made, bytes):
        raise ReportError("The page could not be set as PDF: it came back in parts. Nothing was written.")
    return made
