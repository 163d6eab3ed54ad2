"""The match-day check list, one page an athlete: what is stale, which profile to drive, what to check by hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from rampbook.domain.speed import DIRECTIONS
from rampbook.domain.speed_card import SpeedCard, margin_words, measured_words, result_words
from rampbook.evidence.harm import Watched, go_back, not_proof, what_rose
from rampbook.reports.pages import page_environment

if TYPE_CHECKING:
    from jinja2 import Environment

# Common practice, no source; the sport's rules and the maker's instructions come first.
BY_HAND = (
    "The profile named above is the one on the display, and no other can be reached by accident.",
    "Battery charged, its plug and cables firm.",
    "Tyres at their usual pressure, wheels tight.",
    "Lap belt closed, headrest and supports in place.",
    "Footguard and rear guard firm, no sharp edge.",
    "Joystick centred: the chair stands still with nobody touching it. Spare joystick at hand.",
    "Stop and off-switch tried by the spotter, the word for stopping agreed.",
    "Speed measured again at the venue, before every match.",
    "How the athlete feels today: asked, and listened to.",
)
STATES = {
    "not measured": "not measured",
    "above the limit": "above the limit: do not play like this",
    "stale": "stale: measure again",
    "passes": "measured, nothing known since",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchDay:
    """The check list of one athlete for one day.

    ``profile_from`` is ``stated`` when the club has said which profile matches are played on, ``latest pass`` when it
    is taken from there, None when neither is known; ``elsewhere`` names other profiles that were measured.
    """

    athlete: str
    on: date
    profile: int | None
    profile_from: str | None
    profile_since: date | None
    chair: str | None
    cards: tuple[SpeedCard, ...]
    elsewhere: tuple[int, ...]
    alerts: tuple[Watched, ...]
    cautions: tuple[str, ...]

    @property
    def to_do(self) -> list[str]:
        """What a person has to see to, the gravest first; that backward was never measured is told, not asked."""
        out = [what_rose(watched) for watched in self.alerts]
        out += [
            f"{_way(card)}, profile {card.profile}: does not pass. Slow the chair down: rampbook speed {self.athlete}"
            for card in self.cards
            if card.is_above
        ]
        out += [
            f"{_way(card)}, profile {card.profile}: stale since {_first(card)}. Measure again."
            for card in self.cards
            if card.is_stale
        ]
        if self.profile is None:
            out.append(f"No profile is known to be the one for matches. State it: {self.state_command}")
        elif self.cards[0].measured is None:
            out.append(f"Forward, profile {self.profile}: never measured. Measure it before the match.")
        return out

    @property
    def needs_person(self) -> bool:
        """Whether anything is stale, above the limit, missing or alarming."""
        return bool(self.to_do)

    @property
    def state_command(self) -> str:
        """The command that states the match profile."""
        return f"rampbook matchday {self.athlete} --match-profile NUMBER"

    @property
    def profile_words(self) -> str:
        """Which profile should be active, and how that is known."""
        if self.profile is None:
            return "not known"
        if self.profile_from == "stated":
            return f"profile {self.profile}, as the club stated for matches since {self.profile_since}"
        return (
            f"profile {self.profile}, taken from the latest pass ({self.profile_since}); the club has not stated one: "
            f"{self.state_command}"
        )

    @property
    def other_words(self) -> str | None:
        """A warning of other profiles that were measured: another one may be left active by mistake."""
        if not self.elsewhere:
            return None
        named = ", ".join(map(str, self.elsewhere))
        return f"Also measured: profile {named}. A measurement of one profile says nothing of another."

    def to_dict(self) -> dict[str, Any]:
        """Return the parts for JSON, unrounded."""
        return {
            "athlete": self.athlete, "on": self.on, "profile": self.profile, "profile_from": self.profile_from,
            "profile_since": self.profile_since, "chair": self.chair, "needs_person": self.needs_person,
            "to_do": self.to_do, "speed": [card.to_dict() for card in self.cards],
            "alerts": [watched.to_dict() for watched in self.alerts], "other_profiles": list(self.elsewhere),
            "by_hand": list(BY_HAND), "cautions": list(self.cautions),
        }  # fmt: skip


def card_rows(card: SpeedCard) -> list[tuple[str, str]]:
    """Return one direction as pairs of a heading and what is known."""
    rows = [("State", state_words(card)), ("Limit", card.limit.words)]
    if card.measured is not None and card.judged is not None:
        dial = card.measured["dial_percent"]
        rows += [
            ("Measured", f"{card.measured_on}: {measured_words(card.measured)}"),
            ("Speed dial", "not noted" if dial is None else f"{dial:g}%"),
            ("Speed", f"{card.judged.kmh:.3f} km/h: {result_words(card.judged)}"),
            ("Margin, km/h", margin_words(card.judged)),
        ]
    return [*rows, *(("Since", doubt.words) for doubt in card.doubts), *(("Note", note) for note in card.notes())]


def state_words(card: SpeedCard) -> str:
    """Return the state of one direction; what is both above and stale is said to be both."""
    stale = f"; {STATES['stale']}" if card.is_above and card.is_stale else ""
    return STATES[card.state] + stale


def alert_lines(alerts: tuple[Watched, ...]) -> list[str]:
    """Return the way back for each open alert, and what the alerts do not show; what rose stands in `to_do`."""
    return [*map(go_back, alerts), not_proof(alerts)] if alerts else []


def render_matchday(days: list[MatchDay]) -> str:
    """Return the check lists as one HTML file that needs nothing beside itself, one printed page an athlete."""
    return _environment().get_template("matchday.html").render(
        days=days, by_hand=BY_HAND, ways=[word.capitalize() for word in DIRECTIONS.values()]
    )


def _way(card: SpeedCard) -> str:
    return DIRECTIONS[card.direction].capitalize()


def _first(card: SpeedCard) -> str:
    more = len(card.doubts) - 1
    return f"{card.doubts[0].what} on {card.doubts[0].on}" + (f" and {more} more" if more else "")


def _environment() -> Environment:
    """Return the template environment with the words of the list."""
    environment = page_environment()
    environment.filters.update(way=_way, card_rows=card_rows, alert_lines=alert_lines)
    return environment
