"""How values are shown on a page. What a result *means* is said in evidence; here it is only laid out."""

from __future__ import annotations

import base64
from datetime import date

from rampbook.domain.outcomes import drill_of
from rampbook.evidence.finding import Finding

NOT_KNOWN = "not recorded"
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# A shape for each verdict, so that none is told by colour alone.
VERDICT_SHAPES = {
    "better": "▲", "worse": "▼", "no worthwhile difference": "■", "traded accuracy for speed": "◆",
}  # fmt: skip
VERDICT_CLASSES = {
    "better": "better", "worse": "worse", "no worthwhile difference": "same",
    "traded accuracy for speed": "traded",
}  # fmt: skip


def day(on: date | None) -> str:
    """Return a date with its month in letters, the same in every locale.

    Examples
    --------
    >>> day(date(2026, 3, 9))
    '9 Mar 2026'
    """
    return NOT_KNOWN if on is None else f"{on.day} {MONTHS[on.month - 1]} {on.year}"


def number(value: float | None, digits: int = 3) -> str:
    """Return a number with that many significant digits and no needless zeros.

    Examples
    --------
    >>> number(0.8791), number(80.0), number(12345.0), number(None)
    ('0.879', '80', '12345', 'not recorded')
    """
    if value is None:
        return NOT_KNOWN
    whole = len(str(int(abs(value))))
    return f"{value:.{max(digits, whole)}g}"


def plural(n: int, one: str, many: str | None = None) -> str:
    """Return a count with its noun.

    Examples
    --------
    >>> plural(1, "practice"), plural(3, "practice")
    ('1 practice', '3 practices')
    """
    return f"{n} {one if n == 1 else many or one + 's'}"


def setting_name(setting: str) -> str:
    """Return a setting's name as people say it.

    Examples
    --------
    >>> setting_name("turn_speed_max"), setting_name("deadband")
    ('turn speed, maximum', 'deadband')
    """
    for ending, word in (("_max", "maximum"), ("_min", "minimum")):
        if setting.endswith(ending):
            return f"{setting.removesuffix(ending).replace('_', ' ')}, {word}"
    return setting.replace("_", " ")


def outcome_name(outcome: str | None) -> str:
    """Return an outcome's name as people say it.

    Examples
    --------
    >>> outcome_name("drill:gate"), outcome_name("collisions")
    ('time of the drill gate', 'collisions')
    """
    drill = drill_of(outcome) if outcome else None
    return f"time of the drill {drill}" if drill else (outcome or "the outcome").replace("_", " ")


def estimate_in_numbers(finding: Finding) -> str | None:
    """Return the estimate and its interval as numbers on the scale of the JSON."""
    if finding.estimate is None or finding.low is None or finding.high is None:
        return None
    low, high = number(finding.low), number(finding.high)
    return f"{finding.estimand} {number(finding.estimate)} ({low} to {high})"


def probability(p: float | None) -> str:
    """Return a p value to two digits, never as nought."""
    if p is None:
        return "none"
    return "< 0.001" if p < 0.001 else f"{p:.2g}"


def svg_uri(svg: str) -> str:
    """Return an SVG as the address of an image, so that ids of two pictures cannot clash."""
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode("utf-8")).decode("ascii")
