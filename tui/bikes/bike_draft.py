"""A bike while it is added or edited: how it is in the records, and what is to change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Literal, TypeVar

from diagnose.case.events import Case, machine_traits, read_trait
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import note, read_figure, read_setting
from diagnose.records.bikes.bike_journal import BikeEntry, FactsEntry, SettingEntry, TargetEntry
from diagnose.records.bikes.service import clocks, fits
from diagnose.records.cases.known import NOTED
from diagnose.records.store.names import good_name
from rules.rulebase import RuleBase

Kind = Literal["name", "use", "trait", "figure", "setting"]
V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Fact:
    """A line of the form: what kind of thing it is, and its id in the rule base."""

    kind: Kind
    id: str = ""


@dataclass(frozen=True, slots=True)
class BikeDraft:
    """`bike` as it was read, and the changes, none of them kept yet.

    Changes hold only what is new, so that they can be applied to what another terminal has kept
    since. A figure without a value goes back to the rule of thumb.
    """

    bike: Bike
    name: str
    use: str | None = None
    traits: Mapping[str, str] = field(default_factory=dict)
    figures: Mapping[str, TargetEntry] = field(default_factory=dict)
    settings: Mapping[str, SettingEntry] = field(default_factory=dict)

    @classmethod
    def of(cls, bike: Bike) -> BikeDraft:
        """Nothing to change yet; a bike without a name is a new one."""
        return cls(bike, bike.name)

    @property
    def is_new(self) -> bool:
        """Whether the records do not have the bike yet."""
        return not self.bike.name

    @property
    def is_renamed(self) -> bool:
        """Whether it is to get another name."""
        return self.name != self.bike.name

    @property
    def machine(self) -> Case:
        """An empty case on the bike as it will be."""
        targets = {name: figure.quantity for name, figure in self.bike.targets.items()}
        for name, entry in self.figures.items():
            targets.pop(name, None)
            if entry.figure is not None:
                targets[name] = entry.figure.quantity()
        return Case({**self.bike.traits, **self.traits}, targets)

    @property
    def used_for(self) -> str:
        """What it is ridden on and for."""
        return self.bike.use if self.use is None else self.use

    def baseline(self, observation: str) -> tuple[str, date] | None:
        """How a setting should stand, and since when; None where that is not known."""
        entry = self.settings.get(observation)
        if entry is not None:
            value = entry.reading.quantity() if entry.reading is not None else entry.state
            return str(value), entry.on
        setting = self.bike.baseline.get(observation)
        if setting is None:
            return None
        return str(setting.answer.reading or setting.answer.state), setting.on

    # -- changing --------------------------------------------------------------------------------

    def called(self, name: str) -> BikeDraft:
        """The draft with another name. Raises `BadInput`."""
        return replace(self, name=good_name(name))

    def with_use(self, text: str) -> BikeDraft:
        """The draft with another use of the bike. Raises `BadInput`."""
        return replace(self, use=note(text))

    def with_trait(self, rules: RuleBase, trait: str, option: str) -> BikeDraft:
        """The draft with another option of a trait. Raises `BadInput`."""
        return replace(self, traits={**self.traits, **dict([read_trait(rules, trait, option)])})

    def with_figure(
        self, rules: RuleBase, spec: str, text: str, read_in: str, today: date
    ) -> BikeDraft:
        """The draft with a figure of the manual and where it was read. Raises `BadInput`."""
        entry = read_figure(rules, f"{spec}={text}", read_in, today)
        return replace(self, figures={**_without(self.figures, spec), spec: entry})

    def with_setting(self, rules: RuleBase, observation: str, text: str, today: date) -> BikeDraft:
        """The draft with how a setting should stand, as written. Raises `BadInput`."""
        entry = read_setting(rules, f"{observation}={text}", today, baseline=True)
        return replace(self, settings={**self.settings, observation: entry})

    def without(self, fact: Fact, today: date) -> BikeDraft:
        """The draft without the change of a line; a kept figure goes to its rule of thumb."""
        if fact.kind == "name":
            return replace(self, name=self.bike.name)
        if fact.kind == "use":
            return replace(self, use=None)
        if fact.kind == "trait":
            return replace(self, traits=_without(self.traits, fact.id))
        if fact.kind == "setting":
            return replace(self, settings=_without(self.settings, fact.id))
        if fact.id in self.figures or fact.id not in self.bike.targets:
            return replace(self, figures=_without(self.figures, fact.id))
        back = TargetEntry(spec=fact.id, figure=None, read_in="", on=today)
        return replace(self, figures={**self.figures, fact.id: back})

    def on(self, bike: Bike) -> BikeDraft:
        """The same changes applied to the bike as another terminal has left it."""
        return replace(self, bike=bike, name=self.name if self.is_renamed else bike.name)

    def also_changed_in(self, other: Bike) -> list[Fact]:
        """What is to change here and has been changed in `other` since `bike` was read."""
        return [fact for fact in self.changed() if _kept(self.bike, fact) != _kept(other, fact)]

    def changed(self) -> list[Fact]:
        """The lines that are to change."""
        found = [Fact("name")] if self.is_renamed else []
        found += [Fact("use")] if self.use is not None else []
        found += [Fact("trait", key) for key in self.traits]
        found += [Fact("figure", key) for key in self.figures]
        return found + [Fact("setting", key) for key in self.settings]

    def entries(self) -> list[BikeEntry]:
        """The changes as journal entries. The name is none of them."""
        facts: list[BikeEntry] = []
        if self.traits or self.use is not None:
            facts.append(FactsEntry(traits=dict(self.traits), use=self.use))
        return [*facts, *self.figures.values(), *self.settings.values()]


def figures_of(rules: RuleBase, draft: BikeDraft) -> Iterator[str]:
    """The figures of this kind of bike: those that a measurement on it is compared with, those
    that none is compared with, and those that are given."""
    traits = machine_traits(rules, draft.machine)
    for spec in rules.specs:
        held = [entry.needs for entry in rules.observations.values() if entry.target == spec]
        fitting = not held or any(fits(needs, traits) for needs in held)
        if fitting or spec in draft.machine.targets:
            yield spec


def settings_of(rules: RuleBase, draft: BikeDraft) -> Iterator[str]:
    """What can be set on this bike: measurements compared with a figure, and what is on record.

    What the rider has written down, and what the log of rides and services counts, is left out.
    """
    traits = machine_traits(rules, draft.machine)
    counted = clocks(rules)
    for key, entry in rules.observations.items():
        if key in counted or key.endswith(NOTED):
            continue
        settable = entry.kind == "measurement" and entry.target is not None
        on_record = key in draft.bike.now or draft.baseline(key) is not None
        if on_record or (settable and fits(entry.needs, traits)):
            yield key


def _kept(bike: Bike, fact: Fact) -> object:
    if fact.kind == "name":
        return bike.name
    if fact.kind == "use":
        return bike.use
    if fact.kind == "trait":
        return bike.traits.get(fact.id)
    if fact.kind == "figure":
        figure = bike.targets.get(fact.id)
        return None if figure is None else figure.quantity
    setting = bike.baseline.get(fact.id)
    return None if setting is None else (setting.answer, setting.on)


def _without(items: Mapping[str, V], key: str) -> dict[str, V]:
    return {name: value for name, value in items.items() if name != key}


def keep_draft(book: BikeBook, draft: BikeDraft) -> Bike:
    """Keep the changes and return the bike as it then is.

    Raises `Clash` where another terminal has changed the bike since it was read; then nothing is
    written but a new name. Raises `BadInput` for a name that is taken or not allowed.
    """
    if draft.is_new:
        return book.add(draft.name, draft.entries())
    if draft.is_renamed:
        book.rename(draft.bike.name, draft.name)
    if draft.entries():
        book.append(draft.name, draft.entries(), draft.bike.version)
    return book.read(draft.name)
