"""The case on the bench: what has been said, what is made of it, and what the last answer did."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.case import Case, Event
from diagnose.foresight import Outcome, foresee
from diagnose.interview import Assessment, Workshop
from diagnose.revising import with_event_at, without_event_at
from diagnose.shifts import Shift, shifts
from rules.quantities import Quantity
from rules.rulebase import RuleBase

_REMEMBERED = 64

_Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Assessed:
    """A case with its assessment, and how its latest event moved the causes."""

    case: Case
    assessment: Assessment
    moved: tuple[Shift, ...]

    def moved_by(self, cause: str) -> float:
        """How far the latest event moved `cause`; 0 where there is nothing to compare with."""
        return next((move.by for move in self.moved if move.cause == cause), 0.0)


class Bench:
    """Holds one case. Changing it is instant; `assess` and `foresee` take time and are thread-safe.

    The last few dozen assessments are kept, so that taking an answer back costs nothing.
    """

    def __init__(self, workshop: Workshop, case: Case | None = None, bike: str = "") -> None:
        self.workshop = workshop
        self.case = case or Case()
        self.bike = bike
        self.current: Assessed | None = None
        self._acknowledged: set[str] = set()
        self._lock = threading.Lock()
        self._known: OrderedDict[_Key, Assessment] = OrderedDict()

    @property
    def rules(self) -> RuleBase:
        """The rule base in use."""
        return self.workshop.rules

    def add(self, *events: Event) -> None:
        """Something more is known or was done."""
        for event in events:
            self.case = self.case.with_event(event)

    def undo(self) -> bool:
        """Take the latest event back. False where there is none."""
        if not self.case.events:
            return False
        self.case = self.case.without_last()
        return True

    def change(self, index: int, event: Event) -> None:
        """Put `event` in place of what was said at `index`. Raises `IndexError`."""
        self.case = with_event_at(self.case, index, event)

    def strike(self, index: int) -> None:
        """Strike out what was said at `index`. Raises `IndexError`."""
        self.case = without_event_at(self.case, index)

    def set_machine(self, traits: Mapping[str, str], targets: Mapping[str, Quantity]) -> None:
        """It is another machine; everything said stays said."""
        self.case = Case(dict(traits), dict(targets), self.case.events)

    def assess(self, case: Case) -> Assessed:
        """What is made of `case`, and of it without its latest event, to tell what that did.

        Raises `diagnose.ranking.ImpossibleEvidence` and `diagnose.engine.EngineError`.
        """
        with self._lock:
            now = self._assess(case)
            if not case.events:
                return Assessed(case, now, ())
            before = self._assess(case.without_last())
            return Assessed(case, now, shifts(before.ranking, now.ranking))

    def foresee(self, assessed: Assessed) -> dict[str, tuple[Outcome, ...]]:
        """Where the answers to everything still open would leave the causes."""
        with self._lock:
            return foresee(self.workshop.model, assessed.assessment)

    def reasons_not_to_ride(self) -> tuple[str, ...]:
        """Why the bike must not be ridden as it stands."""
        if self.current is None:
            return ()
        return tuple(item.text for item in self.current.assessment.belief.findings.do_not_ride)

    def unread_warnings(self) -> tuple[str, ...]:
        """Reasons not to ride that nobody has acknowledged yet.

        One that has gone meanwhile must be acknowledged anew when it comes back.
        """
        reasons = self.reasons_not_to_ride()
        self._acknowledged &= set(reasons)
        return tuple(text for text in reasons if text not in self._acknowledged)

    def acknowledge(self) -> None:
        """The reasons not to ride have been read."""
        self._acknowledged = set(self.reasons_not_to_ride())

    def _assess(self, case: Case) -> Assessment:
        key = (tuple(case.machine.items()), tuple(case.targets.items()), case.events)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self.workshop.assess(case)
            if len(self._known) > _REMEMBERED:
                self._known.popitem(last=False)
        else:
            self._known.move_to_end(key)
        return known
