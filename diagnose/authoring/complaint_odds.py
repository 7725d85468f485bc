"""How probable a cause is when only the complaint is known, on a bike that can have it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Event, read_complaint
from diagnose.inference.posterior import Ranking
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class Odds:
    """`rank` counts from 1 among the causes that can give what was told, None where it cannot."""

    cause: str
    prior: float
    probability: float
    rank: int | None

    @property
    def raised(self) -> float:
        """How many times as probable as before anything was told."""
        return self.probability / self.prior


def machine_for(rules: RuleBase, cause: str) -> dict[str, str]:
    """The traits in which a bike must differ from the default one to have the cause."""
    return {
        trait: options[0]
        for trait, options in rules.causes[cause].needs.items()
        if rules.traits[trait].default not in options
    }


class OddsBook:
    """Odds of the causes of one rule base; each is worked out once, then remembered."""

    def __init__(self, assessor: Assessor) -> None:
        self._assessor = assessor
        self._rankings: dict[tuple[tuple[Event, ...], tuple[tuple[str, str], ...]], Ranking] = {}

    def given(self, cause: str, events: Sequence[Event]) -> Odds:
        """The odds of a cause when these events are all that is known."""
        machine = machine_for(self._assessor.rules, cause)
        key = (tuple(events), tuple(sorted(machine.items())))
        if key not in self._rankings:
            model = self._assessor.model
            self._rankings[key] = model.rank(model.believe(Case(machine, {}, tuple(events))))
        ranking = self._rankings[key]
        order = [entry.cause for entry in ranking.causes if entry.relevant]
        entry = ranking.find(cause)
        rank = order.index(cause) + 1 if cause in order else None
        return Odds(cause, entry.prior, entry.probability, rank)

    def complaint(self, complaint: str) -> list[Odds]:
        """The causes that can give a complaint (`harsh/front`, or `harsh` for an unknown place),
        most probable first. Raises `BadFact`."""
        told = [read_complaint(self._assessor.rules, complaint)]
        odds = [self.given(cause, told) for cause in self._assessor.rules.causes]
        found = [entry for entry in odds if entry.rank is not None]
        return sorted(found, key=lambda entry: (-entry.probability, entry.cause))
