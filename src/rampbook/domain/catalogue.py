"""The catalogue of settings: their names, the scale each counts in, and the rules that tie pairs of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from rampbook.errors import EntryError


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """What a number means; numbers of two scales are never compared."""

    id: str
    definition: str


CHAIR_SCALE = Scale(
    id="chair_percent",
    definition="the number the chair's own controller shows, 0 to 100; it is not metres a second, "
    "and the same number on another chair need not mean the same",
)
STICK_SCALE = Scale(
    id="stick_percent",
    definition="percent of the joystick's full travel; for a throw, the deflection at which the command "
    "reaches 100%; for the deadband, the deflection up to which the command is zero",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One thing that can be set.

    Attributes
    ----------
    name : str
        The name in tables, commands and reports.
    unit : str
        ``1`` for the chair's own scale, ``%`` for percent of the joystick's travel.
    low, high : float
        The smallest and the largest value the chair accepts, both included.
    meaning : str
        What it does, in plain words.
    group : str
        Settings that belong together on the sheet.
    scale : Scale
        What the number means.
    step : float
        The usual smallest step; proposed values keep to it where they can.
    """

    name: str
    unit: str
    low: float = 0.0
    high: float = 100.0
    meaning: str = ""
    group: str = "club"
    scale: Scale = CHAIR_SCALE
    step: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """``lower`` may not be above ``upper``; with ``strict`` it may not equal it either."""

    lower: str
    upper: str
    strict: bool = False

    @property
    def text(self) -> str:
        """The rule in words."""
        if self.strict:
            return f"{self.upper} must be above {self.lower}"
        if self.upper.removesuffix("_max") == self.lower.removesuffix("_min"):
            return f"{self.upper} can't be below {self.lower}"
        return f"{self.lower} can't be above {self.upper}"

    def holds(self, lower: float, upper: float) -> bool:
        """Whether the rule is kept by these two values."""
        return lower < upper if self.strict else lower <= upper


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """Every setting that is known, and the rules between pairs of them.

    ``from_top`` lists the settings so that the upper one of every rule comes before the lower one.

    Raises
    ------
    EntryError
        When a bound is impossible, a rule names an unknown setting, or rules run in a circle.
    """

    settings: Mapping[str, Setting]
    rules: tuple[Rule, ...] = ()
    from_top: tuple[str, ...] = field(init=False, repr=False, compare=False)
    _touching: Mapping[str, tuple[Rule, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Refuse impossible bounds, rules about unknown settings, and rules in a circle."""
        for setting in self.settings.values():
            # Written so that NaN fails too.
            if not setting.low < setting.high:
                raise EntryError(
                    f"{setting.name}: its smallest value {setting.low:g} is not below its largest "
                    f"{setting.high:g}. Give bounds in order.",
                    field="low",
                    value=setting.low,
                )
        for rule in self.rules:
            for name in (rule.lower, rule.upper):
                self.find(name)
        object.__setattr__(self, "from_top", _ordered_from_top(self.settings, self.rules))
        touching = {
            name: tuple(r for r in self.rules if name in (r.lower, r.upper)) for name in self.settings
        }
        object.__setattr__(self, "_touching", MappingProxyType(touching))

    def find(self, name: str) -> Setting:
        """Return the setting of this name.

        Raises
        ------
        EntryError
            When there is none; the message names close ones.
        """
        found = self.settings.get(name)
        if found is None:
            near = [
                known for known in self.settings if name and (name in known or known.split("_")[0] in name)
            ]
            hint = (
                f"Did you mean {', '.join(near[:4])}?" if near else f"Known are {', '.join(self.settings)}."
            )
            raise EntryError(f'There is no setting "{name}". {hint}', field="setting", value=name)
        return found

    def rules_for(self, name: str) -> tuple[Rule, ...]:
        """Return the rules that name this setting."""
        return self._touching.get(name, ())

    def comparable(self, rule: Rule) -> bool:
        """Whether both settings of a rule count in one scale; if not, they are never compared."""
        return self.settings[rule.lower].scale == self.settings[rule.upper].scale

    def extend(self, settings: Iterable[Setting] = (), rules: Iterable[Rule] = ()) -> Catalogue:
        """Return a catalogue with a club's own settings and rules; a setting of a known name replaces it."""
        merged = {**self.settings, **{setting.name: setting for setting in settings}}
        return Catalogue(settings=MappingProxyType(merged), rules=tuple(dict.fromkeys([*self.rules, *rules])))


def _ordered_from_top(names: Iterable[str], rules: tuple[Rule, ...]) -> tuple[str, ...]:
    """Return the names so that the upper setting of every rule comes before the lower one."""
    above: dict[str, set[str]] = {name: set() for name in names}
    for rule in rules:
        above[rule.lower].add(rule.upper)
    order: list[str] = []
    while above:
        tops = [name for name, uppers in above.items() if not uppers & above.keys()]
        if not tops:
            raise EntryError(f"The rules between {', '.join(above)} run in a circle. Take one of them out.")
        order += tops
        for name in tops:
            del above[name]
    return tuple(order)


_RAMPED = {
    "forward_speed": "speed driving forward",
    "reverse_speed": "speed driving backward",
    "turn_speed": "speed of turning",
    "acceleration": "how quickly the chair picks up speed",
    "deceleration": "how quickly the chair slows down; lower needs more room to stop",
    "turn_acceleration": "how quickly a turn builds up",
    "turn_deceleration": "how quickly a turn dies away",
}
_THROWS = ("forward", "reverse", "left", "right")
_ENDS = {"max": "with the speed dial at its top", "min": "with the speed dial at its bottom"}


def _default() -> Catalogue:
    """Build the settings every club starts with (common practice, no source)."""
    settings = [
        Setting(
            name=f"{base}_{end}",
            unit="1",
            group=base,
            meaning=f"{meaning}, {_ENDS[end]}",
        )
        for base, meaning in _RAMPED.items()
        for end in ("max", "min")
    ]
    settings += [
        Setting(
            name=f"throw_{way}",
            unit="%",
            group="joystick",
            scale=STICK_SCALE,
            meaning=f"how far the joystick must go {way} before the command is full",
        )
        for way in _THROWS
    ]
    settings.append(
        Setting(
            name="deadband",
            unit="%",
            group="joystick",
            scale=STICK_SCALE,
            meaning="how far the joystick may move from its centre before anything happens",
        )
    )
    rules = [Rule(lower=f"{base}_min", upper=f"{base}_max") for base in _RAMPED]
    rules += [Rule(lower=f"reverse_speed_{end}", upper=f"forward_speed_{end}") for end in ("max", "min")]
    rules += [Rule(lower="deadband", upper=f"throw_{way}", strict=True) for way in _THROWS]
    return Catalogue(settings=MappingProxyType({s.name: s for s in settings}), rules=tuple(rules))


DEFAULT = _default()
