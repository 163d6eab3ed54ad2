"""The handover to a new coach or technician: what was tried, kept and dropped, and what not to do again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from rampbook.domain.cautions import cautions
from rampbook.domain.chairs import Baseline, Chair, baselines, chair_on, chairs_from
from rampbook.domain.matching import BEHAVIOURS
from rampbook.evidence.finding import Finding
from rampbook.evidence.harm import Watched
from rampbook.reports.season import is_open
from rampbook.store import Store
from rampbook.store.behaviour import Driven, measured_behaviour

Row = dict[str, Any]
KEPT, TAKEN_BACK, MOVED_ON, LEFT = "kept", "taken back", "changed again since", "left with its chair"
EVER = (date(1900, 1, 1), date(9999, 12, 31))


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """One change with every return to its old value and back again, what became of it, and what was found.

    ``back`` is the last row that undid it, where it stands undone. ``findings`` begin with the outcome that most
    practices have; ``alerts`` are those that stood before it was undone, or stand now.
    """

    row: Row
    fate: str
    back: Row | None
    findings: tuple[Finding, ...]
    alerts: tuple[Watched, ...] = ()

    @property
    def change(self) -> str:
        """The id of the change."""
        return str(self.row["change"])

    @property
    def worse(self) -> tuple[Finding, ...]:
        """The findings that went the wrong way."""
        return tuple(found for found in self.findings if found.verdict == "worse")

    @property
    def shown(self) -> tuple[Finding, ...]:
        """The finding of most practices, then those that went wrong or traded accuracy for speed."""
        grave = [one for one in self.findings[1:] if one.verdict == "worse" or one.verdict.startswith("traded")]
        return (*self.findings[:1], *grave)

    @property
    def beside(self) -> tuple[Finding, ...]:
        """The other findings: all that were looked at are named, so that none is picked."""
        return tuple(found for found in self.findings if found not in self.shown)

    @property
    def is_open(self) -> bool:
        """Whether the question that it asked is still without an answer, in every outcome."""
        return all(is_open(found) for found in self.findings)

    @property
    def is_not_again(self) -> bool:
        """Whether it did harm by the record, or was taken back for another reason than a plan."""
        return bool(self.worse or self.alerts) or (self.back is not None and self.back["planned"] != 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Handover:
    """Everything on the two pages; ``chair`` is the one driven now, None where no record tells."""

    athlete: str
    season: str
    made_on: date
    version: str
    chair: Chair | None
    chairs: tuple[Chair, ...]
    new_baselines: tuple[Baseline, ...]
    sheet: tuple[Row, ...]
    tried: tuple[Tried, ...]
    alerts: tuple[Watched, ...]
    events: tuple[Row, ...]
    people: tuple[Row, ...]
    completeness: Row | None
    n_set_aside: int
    not_measured: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def kept(self) -> list[Tried]:
        """What is in force on the chair that is driven now."""
        return [one for one in self.tried if one.fate == KEPT]

    @property
    def dropped(self) -> list[Tried]:
        """What is not in force any more, the latest first."""
        return [one for one in reversed(self.tried) if one.fate != KEPT]

    @property
    def not_again(self) -> list[Tried]:
        """What not to do again without a new reason: alerts first, then what got worse, then the rest."""
        listed = [one for one in self.tried if one.is_not_again]
        return sorted(listed, key=lambda one: (not one.alerts, not one.worse, -one.row["on"].toordinal()))

    @property
    def open_questions(self) -> list[Tried]:
        """Changes whose question has no answer yet, the latest first."""
        return [one for one in reversed(self.tried) if one.is_open]


def gather_handover(
    store: Store,
    athlete: str,
    findings: Sequence[Finding],
    *,
    season: str,
    days: tuple[date, date],
    profile: int,
    made_on: date,
    version: str,
    alerts: Sequence[Watched],
    past_alerts: Mapping[str, Sequence[Watched]],
) -> Handover:
    """Return the handover of one athlete.

    Parameters
    ----------
    store : Store
    athlete : str
    findings : sequence of Finding
        Of every change and outcome, the outcome with most practices first.
    season : str
        What the pages call the days they cover.
    days : (date, date)
        First and last day of the changes, practices and events shown; the sheet and the alerts are of today.
    profile : int
        The profile whose measured behaviour is asked after.
    made_on, version
        The day and the version that the pages bear.
    alerts : sequence of Watched
        That stand now.
    past_alerts : mapping of str to sequence of Watched
        That stood when a change was taken back, by its id.
    """
    chairs = chairs_from(store.rows("chairs_of_athlete", athlete))
    chair = chair_on(chairs, made_on)
    sheet = [row for row in store.rows("setting_sheet", athlete, made_on, None) if _is_of(row, chair)]
    rows = store.rows("review_completeness", athlete, *days)
    return Handover(
        athlete=athlete, season=season, made_on=made_on, version=version, chair=chair, chairs=tuple(chairs),
        new_baselines=tuple(line for line in baselines(chairs) if days[0] <= line.on <= days[1]),
        sheet=tuple(sheet),
        tried=tuple(_tried(store, athlete, findings, days, sheet, chair, [*alerts], past_alerts)),
        alerts=tuple(alerts),
        events=tuple(
            row for row in store.rows("events_of_athlete", athlete)
            if row["drill"] is None and days[0] <= row["on"] <= days[1]
        ),
        people=tuple(store.rows("handover_people", athlete, *days)),
        completeness=rows[0] if rows else None,
        n_set_aside=len(store.rows("review_set_aside", athlete)),
        not_measured=_not_measured(store, athlete, chair, chairs, profile),
        cautions=tuple(cautions()),
    )  # fmt: skip


def returns_of(store: Store, athlete: str) -> list[tuple[str, Row]]:
    """Return every change that stands undone, by the id of the first of its run, with the row that undid it."""
    groups = _groups(store.rows("changes_of_athlete", athlete))
    return [(root, back) for root, rows in groups.items() if (back := _undone_by(rows)) is not None]


def _tried(
    store: Store,
    athlete: str,
    findings: Sequence[Finding],
    days: tuple[date, date],
    sheet: Sequence[Row],
    chair: Chair | None,
    alerts: list[Watched],
    past_alerts: Mapping[str, Sequence[Watched]],
) -> list[Tried]:
    out = []
    every = store.rows("changes_of_athlete", athlete)
    for root, rows in _groups(every).items():
        if not any(days[0] <= row["on"] <= days[1] for row in rows):
            continue
        bundles = {row["bundle"] for row in rows} - {None}
        # What was changed in one bundle is estimated together, under the id of one of its changes.
        ids = {row["change"] for row in rows} | {row["change"] for row in every if row["bundle"] in bundles}
        standing = [one for one in alerts if one.of.change in ids]
        out.append(
            Tried(
                row=rows[0], fate=_fate(rows, sheet, chair), back=_undone_by(rows),
                findings=tuple(found for found in findings if found.change in ids),
                alerts=(*standing, *past_alerts.get(root, ())),
            )
        )  # fmt: skip
    return sorted(out, key=lambda one: (one.row["on"], one.change))


def _groups(rows: Sequence[Row]) -> dict[str, list[Row]]:
    """Put each return with the change that it undoes, by the id of the first; rows keep their order of time."""
    undoes = {row["change"]: row["goes_back_to"] for row in rows}
    groups: dict[str, list[Row]] = {}
    for row in rows:
        at, seen = row["change"], set()
        while undoes.get(at) in undoes and at not in seen:
            seen.add(at)
            at = undoes[at]
        groups.setdefault(at, []).append(row)
    return groups


def _undone_by(rows: Sequence[Row]) -> Row | None:
    """Return the last row of a run when it leads back to the value the run began with."""
    last = rows[-1]
    return last if len(rows) > 1 and last["new_value"] == rows[0]["old_value"] else None


def _fate(rows: Sequence[Row], sheet: Sequence[Row], chair: Chair | None) -> str:
    if _undone_by(rows) is not None:
        return TAKEN_BACK
    last = rows[-1]
    if not _is_of(last, chair):
        return LEFT
    place = ("chair", "profile", "setting")
    standing = next((line for line in sheet if all(line[name] == last[name] for name in place)), None)
    return KEPT if standing is not None and standing["value"] == last["new_value"] else MOVED_ON


def _is_of(row: Row, chair: Chair | None) -> bool:
    return chair is None or row["chair"] == chair.chair


def _not_measured(
    store: Store, athlete: str, chair: Chair | None, chairs: Sequence[Chair], profile: int
) -> tuple[str, ...]:
    if chair is None:
        return tuple(one.name for one in BEHAVIOURS.values())
    driven = Driven(athlete=athlete, chair=chair, profile=profile, chairs=chairs)
    known = {found.behaviour.id for found in measured_behaviour(store, driven) if not found.changed_since}
    return tuple(one.name for name, one in BEHAVIOURS.items() if name not in known)


def day_before(on: date) -> date:
    """Return the last day on which a change that was undone on a day was still in force for certain."""
    return on - timedelta(days=1)
