"""What a case finds out about its bike for good, for the bike's record: figures of its manual that
were looked up, and its kind where that was left open."""

from __future__ import annotations

from dataclasses import dataclass, field

from diagnose.case.events import Answered, told_traits
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_journal import BikeEntry, FactsEntry, StruckEntry, TargetEntry
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.store.entry_lines import Amount
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class FoundOut:
    """Figures by spec, dated by the day they were looked up, and traits that were told."""

    figures: dict[str, TargetEntry] = field(default_factory=dict)
    traits: dict[str, str] = field(default_factory=dict)


def found_out(rules: RuleBase, kept: KeptCase | None) -> FoundOut:
    """What the case as it stands says of its bike; the last figure looked up for each spec."""
    if kept is None:
        return FoundOut()
    figures: dict[str, TargetEntry] = {}
    for said in kept.folded.said:
        event = said.event
        if not isinstance(event, Answered) or event.reading is None:
            continue
        entry = rules.observations.get(event.observation)
        if entry is None or entry.enters is None:
            continue
        figures[entry.enters] = TargetEntry(
            spec=entry.enters,
            figure=Amount.of(event.reading),
            read_in=f"the manual, looked up in case {kept.id}",
            on=said.at.astimezone().date(),
        )
    return FoundOut(figures, told_traits(rules, kept.case))


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
    traits = {}
    for trait in before.traits.keys() | now.traits.keys():
        given = kept.case.machine.get(trait, rules.traits[trait].default)
        was, now_is = before.traits.get(trait, given), now.traits.get(trait, given)
        if now_is != was and bike.traits.get(trait, given) == was:
            traits[trait] = now_is
    return [*entries, FactsEntry(traits=traits)] if traits else entries


def _is_held(entry: TargetEntry, bike: Bike) -> bool:
    held = bike.targets.get(entry.spec)
    return (
        held is not None and entry.figure is not None and held.quantity == entry.figure.quantity()
    )
