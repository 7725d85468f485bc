"""What a case finds out about its bike, for the bike's record: figures of its manual that were
looked up, its kind where that was left open, and readings, dated."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from diagnose.case.events import Answered, told_traits
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_journal import (
    BikeEntry,
    FactsEntry,
    SettingEntry,
    StruckEntry,
    TargetEntry,
)
from diagnose.records.bikes.service import clocks
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.known import NOTED
from diagnose.records.store.entry_lines import Amount
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity


@dataclass(frozen=True, slots=True)
class FoundOut:
    """Figures by spec, dated by the day they were looked up, traits that were told, and what was
    measured, in the order it was."""

    figures: dict[str, TargetEntry] = field(default_factory=dict)
    traits: dict[str, str] = field(default_factory=dict)
    readings: tuple[SettingEntry, ...] = ()


def found_out(rules: RuleBase, kept: KeptCase | None) -> FoundOut:
    """What the case as it stands says of its bike; the last figure looked up for each spec."""
    if kept is None:
        return FoundOut()
    figures: dict[str, TargetEntry] = {}
    readings: list[SettingEntry] = []
    counted = clocks(rules)
    for said in kept.folded.said:
        event = said.event
        if not isinstance(event, Answered) or event.reading is None:
            continue
        entry = rules.observations.get(event.observation)
        if entry is None:
            continue
        on = said.at.astimezone().date()
        if entry.enters is None:
            is_own = event.observation not in counted and not event.observation.endswith(NOTED)
            if is_own and said.assumed is None:
                readings.append(
                    SettingEntry(
                        observation=event.observation,
                        reading=Amount.of(event.reading),
                        on=on,
                        note=f"measured in case {kept.id}",
                        measured_in=kept.id,
                    )
                )
            continue
        figures[entry.enters] = TargetEntry(
            spec=entry.enters,
            figure=Amount.of(event.reading),
            read_in=f"the manual, looked up in case {kept.id}",
            on=on,
        )
    return FoundOut(figures, told_traits(rules, kept.case), tuple(dict.fromkeys(readings)))


def entries_for_the_bike(
    rules: RuleBase, kept: KeptCase, before: FoundOut, now: FoundOut, bike: Bike
) -> list[BikeEntry]:
    """What brings the bike's record from what the case said before to what it says now. What was
    taken back gives way to what the record had; what somebody has changed there since stays."""
    entries: list[BikeEntry] = []
    for spec, told in before.figures.items():
        held = bike.targets.get(spec)
        is_ours = held is not None and held.read_in == told.read_in
        if held is not None and is_ours and now.figures.get(spec) != told:
            entries.append(StruckEntry(seq=held.seq))
    entries += [
        told
        for spec, told in now.figures.items()
        if before.figures.get(spec) != told and not _is_held(told, bike)
    ]
    entries += _readings(kept, before, now, bike)
    traits = {}
    for trait in before.traits.keys() | now.traits.keys():
        given = kept.case.machine.get(trait, rules.traits[trait].default)
        was, now_is = before.traits.get(trait, given), now.traits.get(trait, given)
        if now_is != was and bike.traits.get(trait, given) == was:
            traits[trait] = now_is
    return [*entries, FactsEntry(traits=traits)] if traits else entries


def _readings(kept: KeptCase, before: FoundOut, now: FoundOut, bike: Bike) -> Iterator[BikeEntry]:
    ours = {
        (s.answer.observation, s.answer.reading, s.on): s.seq
        for s in bike.settings
        if s.measured_in == kept.id
    }
    for told in before.readings:
        held = ours.get(_key(told))
        if told not in now.readings and held is not None:
            yield StruckEntry(seq=held)
    for told in now.readings:
        if told not in before.readings and _key(told) not in ours:
            yield told


def _key(told: SettingEntry) -> tuple[str, Quantity | None, date]:
    return told.observation, told.reading.quantity() if told.reading else None, told.on


def _is_held(entry: TargetEntry, bike: Bike) -> bool:
    held = bike.targets.get(entry.spec)
    return (
        held is not None and entry.figure is not None and held.quantity == entry.figure.quantity()
    )
