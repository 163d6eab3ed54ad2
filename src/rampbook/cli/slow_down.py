"""What to do when a chair is above the limit: lower one setting by one step, log it, and measure again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from rampbook.cli.output import figure, section
from rampbook.cli.sheets import sheet_rows
from rampbook.cli.wish import Wish, block_line, step_lines, weigh
from rampbook.domain.cautions import RECHECK_SPEED, cautions
from rampbook.domain.speed import DIRECTIONS
from rampbook.domain.speed_card import SpeedCard
from rampbook.store import Store
from rampbook.store.catalogue import read_catalogue


@dataclass(frozen=True, slots=True, kw_only=True)
class SlowDown:
    """One step down for a chair that is above the limit; ``wish`` is None where the sheet does not know the setting."""

    athlete: str
    card: SpeedCard
    chair: str | None
    wish: Wish | None

    @property
    def caution_lines(self) -> list[str]:
        """The cautions of the step and of what must move before it."""
        return list(dict.fromkeys([*(self.wish.caution_lines if self.wish else cautions()), RECHECK_SPEED]))

    @property
    def command(self) -> str:
        """The command that logs the step, or the sheet where the setting is not on it."""
        chair = f" --chair {self.chair}" if self.chair else ""
        if self.wish is None:
            return f"rampbook sheet {self.athlete} --profile {self.card.profile}{chair} {self.card.lower_this}=VALUE"
        return (
            f"rampbook change {self.athlete} --profile {self.card.profile}{chair} --setting {self.wish.setting} "
            f'--from {figure(self.wish.old)} --to {figure(self.wish.value)} --why "above the speed limit" --role ROLE'
        )

    def to_dict(self) -> dict[str, Any]:
        """Return the parts for JSON."""
        return {
            "direction": self.card.direction, "profile": self.card.profile, "setting": self.card.lower_this,
            "from": None if self.wish is None else self.wish.old, "to": None if self.wish is None else self.wish.value,
            "wish": None if self.wish is None else self.wish.to_dict(), "command": self.command,
        }  # fmt: skip

    def lines(self) -> list[str]:
        """Return what to do, in order."""
        card = self.card
        if card.judged is None:
            return []
        head = f"Slow down: profile {card.profile} does not pass {DIRECTIONS[card.direction]} on {card.measured_on}."
        points = [
            "Do not play with this profile as it is. Read the metres and the seconds once more: a slip is possible.",
            *self._step(),
            "Then measure again, and take another step down if it still does not pass.",
        ]
        steps = step_lines(self.wish.steps) if self.wish is not None and self.wish.blocks else []
        return [head, *section("", points)[2:], *steps]

    def _step(self) -> list[str]:
        if self.wish is None:
            return [f"{self.card.lower_this} is not on the sheet: read it from the chair and log it: {self.command}"]
        if self.wish.value == self.wish.old:
            return [f"{self.wish.setting} is at its lowest, {figure(self.wish.old)}: ask whoever keeps the chair."]
        what = f"lower {self.wish.setting} by one step, {figure(self.wish.old)} to {figure(self.wish.value)}"
        if self.wish.blocks:
            blocked = "; ".join(map(block_line, self.wish.blocks))
            return [f"To {what}, other settings must move first: {blocked}. The order stands below."]
        return [f"{what[0].upper()}{what[1:]}, and log it: {self.command}"]


def slow_down(store: Store, athlete: str, card: SpeedCard) -> SlowDown:
    """Return one step down of the setting that slows this direction."""
    catalogue = read_catalogue(store.connection)
    chair = None if card.measured is None else card.measured["chair"]
    # The last day that can be written: the sheet as it stands now.
    rows = sheet_rows(store, athlete, date.max, profile=card.profile, chair=chair)
    is_of_one_chair = len({row["chair"] for row in rows}) == 1
    values = {row["setting"]: row["value"] for row in rows} if is_of_one_chair else {}
    old = values.get(card.lower_this)
    setting = catalogue.find(card.lower_this)
    wish = None
    if old is not None:
        wish = weigh(values, setting.name, max(old - setting.step, setting.low), catalogue)
    return SlowDown(athlete=athlete, card=card, chair=chair, wish=wish)
