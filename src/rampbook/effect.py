"""The public estimate: a table of practices in, an `Effect` with its numbers, words and picture out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields
from typing import TYPE_CHECKING, Any

from rampbook.errors import EntryError
from rampbook.estimators.looks import LEAST_SIDE, MOST_UNTIL
from rampbook.evidence.assess import Options, assess
from rampbook.evidence.finding import Finding
from rampbook.evidence.league import league_table
from rampbook.series.league import read_league
from rampbook.series.read import as_frame, read_series
from rampbook.units import Better

if TYPE_CHECKING:
    import altair as alt
    import polars as pl

    from rampbook.charts.theme import Width

_JSON_FIELDS = (
    "estimand",
    "estimate",
    "low",
    "high",
    "confidence",
    "p",
    "n",
    "method",
    "verdict",
    "worthwhile",
    "practices_to_settle",
    "rung",
    "allowed_sentence",
    "not_shown",
    "warnings",
    "sensitivity",
    "effect_sizes",
    "robustness",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect(Finding):
    """What was found about one change; fields as in `Finding`, with its picture."""

    def chart(self, *, width: Width = "wide") -> alt.VConcatChart:
        """Give the Altair picture: ``wide``, ``half`` (half an A4 width) or ``narrow`` (a phone)."""
        from rampbook.charts.effect_picture import effect_picture

        return effect_picture(self, width=width)

    def to_dict(self) -> dict[str, Any]:
        """Give the result as the JSON of ``rampbook series`` has it, unrounded; absent parts are None."""
        out: dict[str, Any] = {"kind": self.kind.name}
        for name in _JSON_FIELDS:
            value = getattr(self, name)
            if name in ("warnings", "sensitivity"):
                value = [asdict(item) for item in value]
            out[name] = list(value) if isinstance(value, tuple) else value
        if self.change is not None:
            out |= {"change": self.change, "outcome": self.outcome}
        return out

    def _repr_html_(self) -> str:
        from rampbook.charts.page import to_html

        return to_html(self)


def as_effect(finding: Finding) -> Effect:
    """Give a finding its picture."""
    return Effect(**{item.name: getattr(finding, item.name) for item in fields(Finding)})


def options_of(
    *,
    confidence: float = 0.95,
    trend: bool = True,
    worthwhile: float | None = None,
    better: str | None = None,
    sensitivity: bool = True,
    lags: int = 1,
    until: int | None = None,
) -> Options:
    """Check what a user chose.

    Raises
    ------
    EntryError
        Naming the option and its value.
    """
    if not 0.5 <= confidence < 1:
        raise EntryError(
            f"Confidence is {confidence:g}: give a number from 0.5 to below 1, for example 0.95.", field="confidence"
        )
    if better not in (None, "lower", "higher"):
        raise EntryError(f'Better is "{better}": say lower or higher.', field="better", value=better)
    if lags < 0:
        raise EntryError(f"Lags is {lags}: give 0 or more.", field="lags", value=lags)
    if until is not None and not LEAST_SIDE <= until <= MOST_UNTIL:
        raise EntryError(
            f"Until is {until}: give how many practices with the new setting there will be when you look last, from "
            f"{LEAST_SIDE} to {MOST_UNTIL}.",
            field="until",
            value=until,
        )
    direction: Better | None = "lower" if better == "lower" else "higher" if better == "higher" else None
    return Options(
        confidence=confidence,
        trend=trend,
        worthwhile=worthwhile,
        better=direction,
        sensitivity=sensitivity,
        lags=lags,
        until=until,
    )


def estimate(
    frame: Any,
    *,
    kind: str,
    covariates: Sequence[str] = (),
    trend: bool = True,
    confidence: float = 0.95,
    worthwhile: float | None = None,
    better: str | None = None,
    lags: int = 1,
    sensitivity: bool = True,
    until: int | None = None,
) -> Effect:
    """Estimate the effect of one change from a table of practices.

    Parameters
    ----------
    frame : polars or pandas frame, Arrow table, or any frame with the interchange protocol
        Columns ``practice``, ``phase``, ``value`` and the optional ones of the series contract.
    kind : str
        ``time`` (seconds), ``count``, ``rating`` (0 to 10) or ``success``.
    covariates : sequence of str
        Numeric columns to adjust for.
    trend : bool
        Whether the earlier trend is allowed for; leaving it out is stated in the result.
    confidence : float
        Of the interval.
    worthwhile : float, optional
        Smallest change that would matter: a ratio (0.95) or points; default half the spread with the old setting.
    better : str, optional
        ``lower`` or ``higher``; default lower for times and counts, higher for ratings and successes.
    lags : int
        Lags of the Newey-West row of the sensitivity table.
    sensitivity : bool
        Whether to make the sensitivity table.
    until : int, optional
        Practices with the new setting, in all, up to which one looks after every practice: interval and p then allow
        for all those looks. Without it they hold for one look, at the end.

    Returns
    -------
    Effect

    Raises
    ------
    SeriesError, EntryError
        When a column, a value or an option does not fit.

    Examples
    --------
    >>> import polars as pl, rampbook
    >>> seconds = [12.9, 12.4, 12.6, 12.8, 12.2, 11.1, 11.4, 10.9, 11.2, 11.0]
    >>> table = pl.DataFrame({"practice": range(10), "phase": [0] * 5 + [1] * 5, "value": seconds})
    >>> rampbook.estimate(table, kind="time", sensitivity=False).rung
    'before-after'
    """
    options = options_of(
        confidence=confidence,
        trend=trend,
        worthwhile=worthwhile,
        better=better,
        sensitivity=sensitivity,
        lags=lags,
        until=until,
    )
    return as_effect(assess(read_series(frame, kind=kind, covariates=covariates), options))


def estimate_many(
    frame: Any, *, by: Sequence[str], kind: str, covariates: Sequence[str] = (), verdicts: bool = False, **options: Any
) -> pl.DataFrame:
    """Estimate every series of a table at once, one row a series; the numbers of `estimate` of each alone, to 1e-8.

    Parameters
    ----------
    frame : frame
        As for `estimate`, with the columns of ``by`` naming the series.
    by : sequence of str
        Columns that name a series; one name may stand alone.
    kind : str
        The kind of all of them.
    covariates : sequence of str
        Numeric columns to adjust for.
    verdicts : bool
        Whether to add ``verdict`` and ``rung``. They are made one series at a time, which takes far longer.
    **options
        ``confidence`` and ``trend`` as for `estimate`; ``worthwhile`` and ``better`` with ``verdicts``.

    Returns
    -------
    polars.DataFrame
        Columns of ``by``, then estimate, low, high (a ratio of new to old for times and counts, an odds ratio for
        successes, points for ratings), p, p_adjusted (Benjamini-Hochberg over the whole table), practices, before,
        after, attempts, compared (an untouched series was subtracted) and reason (why there is no estimate, else
        null); in the order in which the series first appear.

    Raises
    ------
    EntryError, SeriesError
        When a column, a value or an option does not fit.
    """
    chosen = options_of(**options)
    if chosen.until is not None:
        raise EntryError("estimate_many knows one look a series: leave out until, or use estimate.", field="until")
    by = [by] if isinstance(by, str) else by
    league = read_league(frame, by=by, kind=kind, covariates=covariates)
    found = league_table(league, confidence=chosen.confidence, trend=chosen.trend)
    if not verdicts:
        return found
    return _with_verdicts(found, as_frame(frame), by, kind=kind, covariates=covariates, **options)


def _with_verdicts(found: pl.DataFrame, frame: pl.DataFrame, by: Sequence[str], **options: Any) -> pl.DataFrame:
    import polars as pl

    parts = [part for _, part in frame.group_by(list(by), maintain_order=True)]
    single = [estimate(part, **{"sensitivity": False, **options}) for part in parts]
    return found.with_columns(
        pl.Series("verdict", [one.verdict for one in single], dtype=pl.String),
        pl.Series("rung", [one.rung for one in single], dtype=pl.String),
    )
