"""Figures of the manual that were looked up in a case, for the record of its bike."""

from __future__ import annotations

from diagnose.case.events import Answered
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_journal import TargetEntry
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.store.entry_lines import Amount
from rules.rulebase import RuleBase


def figures_for_the_bike(rules: RuleBase, kept: KeptCase, bike: Bike) -> list[TargetEntry]:
    """The last figure for each spec that was looked up in the case, where the bike's record says
    another or none; dated by the day it was looked up."""
    found: dict[str, TargetEntry] = {}
    for said in kept.folded.said:
        event = said.event
        if not isinstance(event, Answered) or event.reading is None:
            continue
        entry = rules.observations.get(event.observation)
        if entry is None or entry.enters is None:
            continue
        found[entry.enters] = TargetEntry(
            spec=entry.enters,
            figure=Amount.of(event.reading),
            read_in=f"the manual, looked up in case {kept.id}",
            on=said.at.astimezone().date(),
        )
    return [entry for entry in found.values() if not _is_held(entry, bike)]


def _is_held(entry: TargetEntry, bike: Bike) -> bool:
    held = bike.targets.get(entry.spec)
    return (
        held is not None and entry.figure is not None and held.quantity == entry.figure.quantity()
    )
