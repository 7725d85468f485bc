"""The one owner of a case at work: what was said, what is made of it, what is yet to be kept."""

from __future__ import annotations

import threading
from collections import OrderedDict, deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Protocol

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.foresight import Outcome, foresee
from diagnose.advice.planning import Step
from diagnose.advice.standstill import Standstill, standstill
from diagnose.case.events import Case, Corrected, Event, Noted, shared_start
from diagnose.case.revising import with_event_at, without_event_at
from diagnose.inference.posterior import Belief
from diagnose.inference.shifts import Shift, moves_by_event, shifts
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

_TRAIL = 8  # answers over which it is shown how a cause moved
_REMEMBERED = 64  # assessments: taking back a few dozen answers costs nothing

_Content = tuple[object, ...]


class MovedOn(BadInput):
    """Another terminal was first with the case.

    `lost` are the events that were not written; `theirs` is what the other terminal added.
    """

    def __init__(self, lost: tuple[Event, ...], theirs: tuple[Event, ...]) -> None:
        super().__init__("another terminal has moved this case on meanwhile; look again")
        self.lost, self.theirs = lost, theirs


class Keeping(Protocol):
    """Where a diagnosis is kept; `diagnose.records.cases.keeping` has the one for the store."""

    @property
    def stored(self) -> Case:
        """The case as it is kept, in terms of the rule base in use."""

    def write(self, case: Case, before_correction: Callable[[], Assessment]) -> bool:
        """Make what is kept amount to `case`; it is on disk when this returns.

        `before_correction` gives what was made of the case as it is kept now; it is called where
        `case` adds a correction. Returns False, with nothing written, when another writer was
        first; `stored` is then what that one left. Raises `BadInput` when it cannot be written.
        """


@dataclass(frozen=True, slots=True)
class Assessed:
    """A case with its assessment, how its latest change moved the causes, and what to offer where
    the latest answers moved nothing. `trail` has what was believed after each of the latest things
    said, the present last."""

    case: Case
    assessment: Assessment
    moved: tuple[Shift, ...]
    standstill: Standstill | None = None
    trail: tuple[Belief, ...] = ()

    def moved_by(self, cause: str) -> float:
        """How far the latest change moved `cause`; 0 where there is nothing to compare with."""
        return next((move.by for move in self.moved if move.cause == cause), 0.0)


class Diagnosis:
    """A case that moves on, is taken back and changed, is assessed, and is kept when told to be.

    Changing it is instant and touches no disk. `assess`, `foresee` and `commit` take time and may
    be called from any thread; everything else belongs to one thread.
    """

    def __init__(
        self, assessor: Assessor, case: Case | None = None, *, keeping: Keeping | None = None
    ) -> None:
        """`case` defaults to what `keeping` holds, and that to an empty case."""
        if case is None:
            case = keeping.stored if keeping is not None else Case()
        self.assessor = assessor
        self.keeping = keeping
        self._case = case
        self._earlier: list[Case] = []
        self._unwritten: deque[Case] = deque()
        self._chosen: tuple[Case, Step] | None = None
        self._gone_on: Case | None = None
        self._known: OrderedDict[_Content, Assessment] = OrderedDict()
        self._believed: OrderedDict[_Content, Belief] = OrderedDict()
        self._lock = threading.RLock()

    @property
    def rules(self) -> RuleBase:
        """The rule base in use."""
        return self.assessor.rules

    @property
    def case(self) -> Case:
        """The case as it stands."""
        return self._case

    @property
    def waiting(self) -> int:
        """How many changes have yet to be written."""
        return len(self._unwritten)

    # -- changing --------------------------------------------------------------------------------

    def add(self, *events: Event) -> None:
        """More is known or was done. Each event can be taken back by itself."""
        for event in events:
            self._move_to(self._case.with_event(event))

    def change(self, index: int, event: Event) -> None:
        """Put `event` in place of what was said at `index`. Raises `IndexError`."""
        self._move_to(with_event_at(self._case, index, event))

    def strike(self, index: int) -> None:
        """Strike out what was said at `index`. Raises `IndexError`."""
        self._move_to(without_event_at(self._case, index))

    def set_bike(self, traits: Mapping[str, str], targets: Mapping[str, Quantity]) -> None:
        """It is another kind of bike, or its figures are others; everything said stays said."""
        self._move_to(self._case.on_machine(traits, targets))

    def turn_to(self, step: Step) -> None:
        """Take `step` now, in place of the one advised. It stands as long as the case does; notes
        change nothing."""
        self._chosen = _without_notes(self._case), step

    @property
    def chosen(self) -> Step | None:
        """The step that was taken in place of the one advised; None where none stands."""
        return self._chosen_at(self._case)

    def turn_back(self) -> bool:
        """Take the advised step again. False where no other stands."""
        if self.chosen is None:
            return False
        self._chosen = None
        return True

    def go_on(self) -> None:
        """Offer nothing besides the next question as long as the case stands."""
        self._gone_on = _without_notes(self._case)

    def undo(self) -> bool:
        """Take the latest change back, whatever it changed; before that, a step that was taken in
        place of the one advised. False where there is none.

        In a case that was kept before, what was said last is taken back once nothing newer is left.
        """
        if self.turn_back():
            return True
        earlier = self._earlier.pop() if self._earlier else self._case.without_last()
        if earlier is self._case:
            return False
        self._stand_at(earlier)
        return True

    def _move_to(self, case: Case) -> None:
        if case != self._case:
            self._earlier.append(self._case)
            self._stand_at(case)

    def _stand_at(self, case: Case) -> None:
        with self._lock:
            if self.keeping is not None:
                chain = [self.keeping.stored, *self._unwritten, case][-3:]
                if self._unwritten and all(_only_adds(*pair) for pair in pairwise(chain)):
                    self._unwritten.pop()
                self._unwritten.append(case)
            self._case = case

    # -- assessing -------------------------------------------------------------------------------

    @property
    def assessment(self) -> Assessment:
        """What is made of the case as it stands, with the step that was taken in place of the one
        advised where there is one. Raises as `assess` does."""
        return self._with_chosen(self._case)

    @property
    def standstill(self) -> Standstill | None:
        """What to offer where the latest answers moved nothing; None while they move something, and
        once another step or going on was chosen. Raises as `assess` does."""
        return self._standstill_at(self._case)

    def assess(self) -> Assessed:
        """What is made of the case as it stands, how its latest change moved the causes, and what
        to offer where answers move nothing.

        Raises `ImpossibleEvidence` of `inference.posterior` and `EngineError` of `findings.engine`.
        """
        case = self._case
        earlier = self._earlier[-1] if self._earlier else case.without_last()
        now, offered = self._with_chosen(case), self._standstill_at(case)
        trail = self._trail(case)
        if earlier == case:
            return Assessed(case, now, (), offered, trail)
        before, after = (self._assessment_of(at).ranking for at in (earlier, case))
        return Assessed(case, now, shifts(before, after), offered, trail)

    def _trail(self, case: Case) -> tuple[Belief, ...]:
        events = _without_notes(case).events
        first = max(1, len(events) - _TRAIL + 1)
        return tuple(
            self._belief_of(Case(case.machine, case.targets, events[:length]))
            for length in range(first, len(events) + 1)
        )

    def _belief_of(self, case: Case) -> Belief:
        content = _content_of(case)
        with self._lock:
            if content in self._known:
                return self._known[content].belief
            belief = self._believed.pop(content, None) or self.assessor.model.believe(case)
            self._believed[content] = belief
            if len(self._believed) > _REMEMBERED:
                self._believed.popitem(last=False)
            return belief

    def _chosen_at(self, case: Case) -> Step | None:
        chosen = self._chosen
        return chosen[1] if chosen is not None and chosen[0] == _without_notes(case) else None

    def _with_chosen(self, case: Case) -> Assessment:
        chosen, now = self._chosen_at(case), self._assessment_of(case)
        return now if chosen is None else self.assessor.with_step(now, chosen)

    def _standstill_at(self, case: Case) -> Standstill | None:
        if self._chosen_at(case) is not None or _without_notes(case) == self._gone_on:
            return None
        with self._lock:
            return standstill(self.assessor, self._assessment_of(case), self._assessment_of)

    def told(self) -> list[tuple[Event, tuple[Shift, ...]]]:
        """What each thing said so far did to the causes. Raises as `assess` does."""
        with self._lock:
            return moves_by_event(self.assessor.model, self._case)

    def foresee(self, assessment: Assessment) -> dict[str, tuple[Outcome, ...]]:
        """Where each answer to everything still open would leave the causes, by node."""
        with self._lock:
            return foresee(self.assessor.model, assessment.belief, assessment.options)

    def _assessment_of(self, case: Case) -> Assessment:
        content = _content_of(case)
        with self._lock:
            known = self._known.get(content)
            if known is None:
                known = self._known[content] = self.assessor.assess(case)
                if len(self._known) > _REMEMBERED:
                    self._known.popitem(last=False)
            else:
                self._known.move_to_end(content)
            return known

    # -- keeping ---------------------------------------------------------------------------------

    def commit(self) -> None:
        """Write every change that has yet to be written; they are on disk when this returns.

        Raises `BadInput` when one cannot be written: it and those after it go on waiting, in order.
        Raises `MovedOn` when another terminal was first: nothing waits then, and the case is what
        that one left. Without `keeping` nothing waits and nothing is written.
        """
        with self._lock:
            while self._unwritten:
                assert self.keeping is not None
                before, latest = self.keeping.stored, self._unwritten[-1]
                if self.keeping.write(self._unwritten[0], partial(self._assessment_of, before)):
                    self._unwritten.popleft()
                    continue
                self.stand_as_kept()
                theirs = self.keeping.stored
                raise MovedOn(_beyond(before, latest), _beyond(before, theirs))

    def stand_as_kept(self) -> None:
        """Go back to the case as it is kept; what waited is dropped."""
        assert self.keeping is not None
        with self._lock:
            self._unwritten.clear()
            self._earlier.clear()
            self._case = self.keeping.stored


def _content_of(case: Case) -> _Content:
    return tuple(case.machine.items()), tuple(case.targets.items()), case.events


def _without_notes(case: Case) -> Case:
    kept = tuple(event for event in case.events if not isinstance(event, Noted))
    return Case(case.machine, case.targets, kept)


def _only_adds(before: Case, after: Case) -> bool:
    """Whether the two may be written at once. What stood before a correction is written first,
    with what was then held likely; any other change is written by itself too."""
    had = len(before.events)
    return (
        (after.machine, after.targets) == (before.machine, before.targets)
        and after.events[:had] == before.events
        and not any(isinstance(event, Corrected) for event in after.events[had - 1 :])
    )


def _beyond(old: Case, new: Case) -> tuple[Event, ...]:
    """What `new` says from where it parts from `old`."""
    return new.events[shared_start(old.events, new.events) :]
