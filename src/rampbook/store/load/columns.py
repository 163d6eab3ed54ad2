"""The tables that can be loaded: their columns, what a value may be, and which columns name a row."""

from __future__ import annotations

from rampbook.domain.consent import CONSENT_SCOPES, ROLES
from rampbook.domain.events import EVENTS
from rampbook.domain.outcomes import RATING_GIVERS
from rampbook.domain.runs import RUN_DIRECTIONS, RUN_STARTS
from rampbook.domain.throw import THROW_DEFINITIONS
from rampbook.store.load.spec import Column, RowRule, TableSpec
from rampbook.store.load.speed_tables import SPEED_TABLES

__all__ = ["SPECS", "Column", "RowRule", "TableSpec"]

_ATHLETE = Column(name="athlete", kind="code", required=True)
_PROFILE = Column(name="profile", kind="whole", low=0)
_A_PROFILE = Column(name="profile", kind="whole", low=0, required=True)
_PRACTICE = Column(name="practice", kind="code")
_ON = Column(name="on", kind="date", required=True)
_TIME = Column(name="time", kind="time")
_SETTING = Column(name="setting", kind="name", required=True)
_OUTCOME = Column(name="outcome", required=True)
_AGAIN = "Correct the cell and load the file again."


def _positive(name: str) -> Column:
    return Column(name=name, kind="number", above=0)


def _percent(name: str) -> Column:
    return Column(name=name, kind="number", low=0, high=100)


def _rating(name: str, *, required: bool = False) -> Column:
    return Column(name=name, kind="number", low=0, high=10, required=required)


def _count(name: str, *, low: float = 0, required: bool = False) -> Column:
    return Column(name=name, kind="whole", low=low, required=required)


_SPECS = (
    TableSpec(
        name="athletes",
        id="entry",
        key=("athlete",),
        needs=("athlete", "consent"),
        columns=(
            _ATHLETE,
            Column(name="birth_year", kind="whole", low=1900, high=2100),
            Column(name="consent", kind="choice", choices=tuple(CONSENT_SCOPES)),
            Column(name="consent_on", kind="date"),
        ),
    ),
    TableSpec(
        name="chairs",
        id="entry",
        key=("chair",),
        needs=("chair", "scale"),
        columns=(
            Column(name="chair", kind="code", required=True),
            Column(name="athlete", kind="code"),
            Column(name="scale", kind="code"),
            Column(name="scale_definition"),
            Column(name="throw_definition", kind="choice", choices=tuple(THROW_DEFINITIONS)),
            Column(name="since", kind="date"),
            Column(name="until", kind="date"),
            Column(name="goals"),
        ),
        rules=(
            RowRule(
                column="until",
                broken="until < since",
                reason='until is "{value}": the last day of a chair cannot lie before its first',
                remedy=_AGAIN,
            ),
        ),
    ),
    TableSpec(
        name="drills",
        id="entry",
        key=("drill", "layout"),
        needs=("drill", "layout", "since"),
        columns=(
            Column(name="drill", required=True),
            Column(name="layout"),
            Column(name="since", kind="date"),
            Column(name="description"),
        ),
    ),
    TableSpec(
        name="catalogue",
        id="entry",
        key=("setting",),
        needs=("setting", "low", "high"),
        columns=(
            _SETTING,
            Column(name="unit", stands_for_empty="1"),
            Column(name="low", kind="number", required=True),
            Column(name="high", kind="number", required=True),
            Column(name="meaning"),
        ),
        rules=(
            RowRule(
                column="high",
                broken="high <= low",
                reason='high is "{value}": it must be above low',
                remedy=_AGAIN,
            ),
        ),
    ),
    TableSpec(
        name="settings",
        id="entry",
        key=("athlete", "chair", "profile", "setting", "on"),
        needs=("athlete", "profile", "setting", "value", "on"),
        columns=(
            _ATHLETE,
            Column(name="chair", kind="code"),
            _A_PROFILE,
            _SETTING,
            Column(name="value", kind="number", required=True),
            _ON,
        ),
    ),
    TableSpec(
        name="practices",
        id="practice",
        key=("athlete", "on", "time"),
        needs=("athlete", "on", "surface"),
        columns=(
            _PRACTICE,
            _ATHLETE,
            _ON,
            _TIME,
            _positive("minutes"),
            Column(name="surface"),
            _percent("battery_percent"),
            _percent("dial_percent"),
            _rating("fatigue"),
            _rating("pain"),
        ),
    ),
    TableSpec(
        name="changes",
        id="change",
        needs=("athlete", "setting", "new_value", "on"),
        key=("athlete", "chair", "profile", "setting", "on", "time", "new_value"),
        columns=(
            Column(name="change", kind="code"),
            _ATHLETE,
            Column(name="chair", kind="code"),
            _A_PROFILE,
            _SETTING,
            Column(name="old_value", kind="number"),
            Column(name="new_value", kind="number", required=True),
            _ON,
            _TIME,
            Column(name="role", kind="choice", choices=tuple(ROLES)),
            Column(name="reason"),
            Column(name="planned", kind="flag"),
            Column(name="goes_back_to", kind="code"),
            Column(name="bundle", kind="code"),
        ),
        rules=(
            RowRule(
                column="new_value",
                broken="new_value = old_value",
                reason='new_value is "{value}": that is the old value too, so nothing was changed',
                remedy="Write the value it was changed to, or leave the row out.",
            ),
        ),
    ),
    TableSpec(
        name="attempts",
        id="attempt",
        needs=("drill", "seconds"),
        by_practice=True,
        key=(
            "practice",
            "athlete",
            "profile",
            "drill",
            "layout",
            "seconds",
            "finished",
            "limit_s",
            "touches",
            "timer",
        ),
        columns=(
            Column(name="attempt", kind="code"),
            _PRACTICE,
            _ATHLETE,
            _PROFILE,
            Column(name="drill", required=True),
            Column(name="layout"),
            _positive("seconds"),
            Column(name="finished", kind="flag"),
            _positive("limit_s"),
            _count("touches"),
            Column(name="timer"),
        ),
        rules=(
            RowRule(
                column="seconds",
                broken="seconds is null and finished is distinct from 0",
                reason="seconds is empty and finished is not 0: an attempt needs its time, or must say that it was not "
                "finished",
                remedy="Fill in the seconds, or write 0 in finished and the limit in limit_s.",
            ),
        ),
        words={"time": "seconds", "drill_time": "seconds", "time_s": "seconds", "limit": "limit_s"},
    ),
    TableSpec(
        name="counts",
        id="entry",
        key=("practice", "profile", "outcome"),
        needs=("outcome", "count"),
        by_practice=True,
        columns=(
            _PRACTICE,
            _ATHLETE,
            _PROFILE,
            _OUTCOME,
            _count("count", required=True),
            _positive("minutes"),
        ),
    ),
    TableSpec(
        name="ratings",
        id="entry",
        key=("practice", "profile", "outcome", "by"),
        needs=("outcome", "rating"),
        by_practice=True,
        columns=(
            _PRACTICE,
            _ATHLETE,
            _PROFILE,
            _OUTCOME,
            _rating("rating", required=True),
            Column(name="by", kind="choice", choices=tuple(RATING_GIVERS)),
        ),
    ),
    TableSpec(
        name="tries",
        id="entry",
        key=("practice", "profile", "outcome"),
        needs=("outcome", "successes", "tries"),
        by_practice=True,
        columns=(
            _PRACTICE,
            _ATHLETE,
            _PROFILE,
            _OUTCOME,
            _count("successes", required=True),
            _count("tries", low=1, required=True),
        ),
        rules=(
            RowRule(
                column="successes",
                broken="successes > tries",
                reason='successes is "{value}": there cannot be more successes than tries',
                remedy=_AGAIN,
            ),
        ),
    ),
    TableSpec(
        name="events",
        id="entry",
        key=("athlete", "on", "time", "event", "note"),
        needs=("athlete", "on", "event"),
        columns=(
            _ATHLETE,
            _ON,
            _TIME,
            Column(name="event", kind="choice", choices=tuple(EVENTS), required=True),
            Column(name="note"),
        ),
    ),
    TableSpec(
        name="runs",
        id="run",
        needs=("athlete", "distance_m", "seconds"),
        key=("athlete", "chair", "profile", "direction", "on", "time", "distance_m", "seconds"),
        columns=(
            Column(name="run", kind="code"),
            _ATHLETE,
            Column(name="chair", kind="code"),
            _A_PROFILE,
            Column(name="direction", kind="choice", choices=RUN_DIRECTIONS, required=True),
            _ON,
            _TIME,
            Column(name="start", kind="choice", choices=tuple(RUN_STARTS), required=True),
            Column(name="distance_m", kind="number", above=0, required=True),
            Column(name="seconds", kind="number", above=0, required=True),
            _percent("dial_percent"),
            Column(name="surface"),
            _percent("battery_percent"),
            Column(name="method"),
        ),
    ),
)

SPECS = {spec.name: spec for spec in (*_SPECS, *SPEED_TABLES)}
"""Every table that can be loaded, in the order in which they are loaded: what is referred to comes first."""
