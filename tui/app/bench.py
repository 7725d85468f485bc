"""The case on the bench: what has been said, what is made of it, and what the last answer did."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from diagnose.advice.foresight import Outcome, foresee
from diagnose.case.events import Case, Event
from diagnose.case.revising import with_event_at, without_event_at
from diagnose.diagnosis import Assessment, Workshop
from diagnose.inference.shifts import Shift, shifts
from diagnose.records.cases.case_book import KeptCase
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from tui.app.keeper import Keeper, unkept

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

    The last few dozen assessments are kept, so that taking an answer back costs nothing. Without a
    `keeper` the case is only looked at; `bike` then says what is looked at.
    """

    def __init__(
        self,
        workshop: Workshop,
        case: Case | None = None,
        bike: str = "",
        keeper: Keeper | None = None,
    ) -> None:
        self.workshop = workshop
        self.case = case or Case()
        self.bike = bike
        self.keeper = keeper
        self.problem = ""
        """Why the latest changes are not in the store."""
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
        """Take the latest event or change of machine back. False where there is none."""
        earlier = self.case.without_last()
        if earlier is self.case:
            return False
        self.case = earlier
        return True

    def change(self, index: int, event: Event) -> None:
        """Put `event` in place of what was said at `index`. Raises `IndexError`."""
        self.case = with_event_at(self.case, index, event)

    def strike(self, index: int) -> None:
        """Strike out what was said at `index`. Raises `IndexError`."""
        self.case = without_event_at(self.case, index)

    def set_machine(self, traits: Mapping[str, str], targets: Mapping[str, Quantity]) -> None:
        """It is another machine; everything said stays said."""
        self.case = self.case.on_machine(traits, targets)

    def assess(self, case: Case) -> Assessed:
        """What is made of `case`, and of it without its latest event, to tell what that did.

        Raises `ImpossibleEvidence` of `inference.posterior` and `EngineError` of `findings.engine`.
        """
        with self._lock:
            now = self._assess(case)
            if not case.events:
                return Assessed(case, now, ())
            before = self._assess(case.without_last())
            return Assessed(case, now, shifts(before.ranking, now.ranking))

    def keep(self, case: Case) -> None:
        """Have `case` in the store when this returns. Raises as `Keeper.keep` does."""
        with self._lock:
            if self.keeper is not None:
                self.keeper.keep(case)

    def keep_waiting(self) -> None:
        """Try again to keep what could not be kept. Raises as `Keeper.keep` does."""
        with self._lock:
            if self.keeper is not None:
                self.keeper.keep_waiting()

    def rewrite(self, change: Callable[[KeptCase], KeptCase]) -> KeptCase:
        """Close the case or open it again in the store. Raises as `Keeper.rewrite` does."""
        with self._lock:
            assert self.keeper is not None
            return self.keeper.rewrite(change)

    def follow_rename(self, old: str, new: str) -> None:
        """Its bike is called otherwise."""
        if self.bike == old:
            self.bike = new
        if self.keeper is not None:
            with self._lock:
                self.keeper.follow_rename(old, new)

    @property
    def kept(self) -> KeptCase | None:
        """The case as the store has it."""
        return None if self.keeper is None else self.keeper.kept

    @property
    def waiting(self) -> int:
        """How many changes are not in the store although they should be."""
        return 0 if self.keeper is None else self.keeper.waiting

    @property
    def closed_as(self) -> str | None:
        """The outcome of a closed case."""
        closed = self.kept.folded.closed if self.kept else None
        return closed.outcome if closed else None

    def on_paper(self, at: datetime) -> KeptCase:
        """The case as a job card takes it, kept or not."""
        now = None if self.keeper is None else self.keeper.with_waiting(at)
        return unkept(self.rules, self.case, self.bike or None, at) if now is None else now

    def foresee(self, assessed: Assessed) -> dict[str, tuple[Outcome, ...]]:
        """Where the answers to everything still open would leave the causes."""
        with self._lock:
            return foresee(
                self.workshop.model, assessed.assessment.belief, assessed.assessment.options
            )

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
