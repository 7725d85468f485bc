"""What a bike should have, whose figure that is, and what a reading may be called against it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from diagnose.case.events import Answered, Case, machine_traits
from rules.language.schema import ANY, Spec
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, parse_quantity, parse_range

Path = tuple[str | int, ...]
Rank = Literal["manual", "shop", "published", "thumb"]
"""Whose figure it is: of this bike's manual, given by whoever asks; the shop's own, in a pack on
top; published for bikes of the kind; a rule of thumb."""
OWN: tuple[Rank, ...] = ("manual", "shop")
"""The ranks of a bike's own figures."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of a bike with its rank, and the range in which bikes of the kind are built, if
    known. `says_anything` is False where a rule of thumb may neither be shown nor judged by.
    `never_beyond`: no bike is safe outside the range."""

    value: Quantity
    rank: Rank
    usual: tuple[Quantity, Quantity] | None = None
    says_anything: bool = True
    never_beyond: bool = False

    def read_in(self, unit: str) -> Figure:
        """The same as a gauge in `unit` shows it. Raises `BadQuantity` for another kind of unit."""
        low, high = self.usual or (None, None)
        usual = (low.read_in(unit), high.read_in(unit)) if low and high else None
        return replace(self, value=self.value.read_in(unit), usual=usual)

    @property
    def is_own(self) -> bool:
        """Whether it is this bike's own, by its manual or by the shop."""
        return self.rank in OWN

    def judges(self, reading: Quantity) -> bool:
        """Whether a reading may be called right or off by it: any by the bike's own figure, by
        another only what no bike of the kind is built to."""
        if self.is_own:
            return True
        return self.says_anything and (self.usual is None or self.is_beyond(reading))

    def forbids(self, reading: Quantity) -> bool:
        """Whether a riding ban may rest on what it says of a reading."""
        return self.is_own or (self.never_beyond and self.is_beyond(reading))

    def is_beyond(self, reading: Quantity) -> bool:
        """Whether a reading lies outside what bikes of the kind are built to."""
        if self.usual is None:
            return False
        low, high = (end.to(self.value.unit).value for end in self.usual)
        return not low <= reading.to(self.value.unit).value <= high

    def way_to_the_edge(self, reading: Quantity) -> float:
        """How far a reading lies from the figure: 0 there, 1 where the usual range ends."""
        if self.usual is None:
            return 0.0
        unit = self.value.unit
        middle, off = self.value.value, reading.to(unit).value - self.value.value
        edge = self.usual[off > 0].to(unit).value - middle
        return min(1.0, abs(off) / abs(edge)) if edge else float(off != 0)


def figure_of(rules: RuleBase, case: Case, spec: str) -> Figure:
    """The bike's figure for `spec`: as looked up in this case or given with it, else as the rule
    base has it."""
    entry = rules.specs[spec]
    text, usual, path = _for_kind(entry, machine_traits(rules, case))
    ends = parse_range(usual, entry.unit) if usual is not None and usual != ANY else None
    given = _looked_up(rules, case, spec) or case.targets.get(spec)
    if given is not None:
        return Figure(given, "manual", ends, never_beyond=entry.never_beyond)
    rank = _rank(rules, spec, entry, path)
    says_anything = rank == "shop" or usual != ANY
    value = parse_quantity(text, entry.unit)
    return Figure(value, rank, ends, says_anything, entry.never_beyond)


def looking_up(rules: RuleBase, spec: str) -> str | None:
    """The observation that enters the manual's figure for `spec`, where there is one."""
    name = f"manual-{spec}"
    return name if name in rules.observations else None


def _looked_up(rules: RuleBase, case: Case, spec: str) -> Quantity | None:
    """The figure that was looked up last in this case."""
    name = looking_up(rules, spec)
    for event in reversed(case.events) if name is not None else ():
        if isinstance(event, Answered) and event.observation == name and event.reading is not None:
            return event.reading
    return None


def _for_kind(entry: Spec, traits: Mapping[str, str]) -> tuple[str, str | None, Path]:
    """(default, usual range, where in the entry the default stands) for a bike."""
    for number, kind in enumerate(entry.where):
        if all(traits[trait] in options for trait, options in kind.needs.items()):
            return kind.default, kind.usual, ("where", number, "default")
    if isinstance(entry.default, Mapping):
        assert entry.by is not None
        option = traits[entry.by]
        return entry.default[option], entry.usual_for(option), ("default", option)
    return entry.default, entry.usual_for(""), ("default",)


def _rank(rules: RuleBase, spec: str, entry: Spec, path: Path) -> Rank:
    if rules.origin("specs", spec, *path).pack != rules.info.id:
        return "shop"
    printed = all(rules.sources[name].kind == "published" for name in entry.source)
    return "published" if printed else "thumb"
