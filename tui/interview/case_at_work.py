"""The case on the screens, and what can be done with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Protocol

from diagnose.advice.foresight import Outcome
from diagnose.advice.planning import Step
from diagnose.case.events import Case, Event, standing
from diagnose.case.set_figures import figures_to_find
from diagnose.diagnosis import Assessed, Diagnosis
from diagnose.findings.concluding import Raised
from diagnose.inference.bans import Ban, Danger
from diagnose.inference.shifts import Shift
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.keeping import CaseKeeping, on_paper
from diagnose.words.ban_words import ban_texts
from rules.rulebase import RuleBase
from tui.plain.cautions_once import CautionsOnce

Foreseen = Mapping[str, tuple[Outcome, ...]]
Told = Sequence[tuple[Event, Sequence[Shift]]]


class CaseAtWork:
    """A diagnosis, its latest assessment, and whether the case is kept.

    Without `keeping` the case is only looked at; `bike` then says what is looked at.
    """

    def __init__(
        self, diagnosis: Diagnosis, keeping: CaseKeeping | None = None, bike: str = ""
    ) -> None:
        self.diagnosis = diagnosis
        self.keeping = keeping
        self._bike = bike
        self.current: Assessed | None = None
        self.problem = ""
        """Why the latest changes are not in the store."""
        self._acknowledged: set[str] = set()
        self._read_at: set[tuple[str, tuple[Event, ...]]] = set()
        self._unread: set[tuple[tuple[str, ...], str]] = set()
        self.cautions = CautionsOnce()

    @property
    def rules(self) -> RuleBase:
        """The rule base in use."""
        return self.diagnosis.rules

    @property
    def case(self) -> Case:
        """The case as it stands."""
        return self.diagnosis.case

    @property
    def assessed(self) -> Assessed | None:
        """The assessment of the case as it stands; None while that is being worked out."""
        current = self.current
        return current if current is not None and current.case == self.case else None

    @property
    def bike(self) -> str:
        """The name of the bike, or of what is looked at."""
        return (self.keeping.bike or "") if self.keeping is not None else self._bike

    @property
    def kept(self) -> KeptCase | None:
        """The case as the store has it."""
        return None if self.keeping is None else self.keeping.kept

    @property
    def closed_as(self) -> str | None:
        """The outcome of a closed case; None for an open one."""
        return None if self.keeping is None else self.keeping.closed_as

    def on_paper(self, at: datetime) -> KeptCase:
        """The case as a job card takes it, kept or not."""
        return on_paper(self.diagnosis, at, self._bike or None)

    def reasons_not_to_ride(self) -> tuple[str, ...]:
        """Why the bike must not be ridden as it stands."""
        if self.current is None:
            return ()
        return ban_texts(self.rules, self.current.case, self.current.assessment.bans)

    def to_find(self, correction: str) -> tuple[str, ...]:
        """The readings to ask for before work that sets them, unless it was said that nobody
        reads them."""
        done = standing(self.case).corrections
        names = figures_to_find(self.rules, self.case, correction)
        return tuple(name for name in names if (done, name) not in self._unread)

    def leave_unread(self, observation: str) -> None:
        """Nobody reads this before the work that comes now."""
        self._unread.add((standing(self.case).corrections, observation))

    def unread_warnings(self) -> tuple[str, ...]:
        """Reasons not to ride that were found and that nobody has acknowledged yet; danger that is
        only likely stands in the head of each screen.

        One that has gone and is found anew must be acknowledged again; one that is back because an
        answer was taken back need not.
        """
        if self.current is None:
            return ()
        rules, case = self.rules, self.current.case
        found = self._found()
        self._acknowledged &= set(found)
        self._acknowledged |= {name for name in found if (name, case.events) in self._read_at}
        self._read_at |= {(name, case.events) for name in self._acknowledged}
        unread = [ban for name, ban in found.items() if name not in self._acknowledged]
        return ban_texts(rules, case, unread)

    def acknowledge(self) -> None:
        """Mark the reasons not to ride as read."""
        self._acknowledged |= set(self._found())
        self.unread_warnings()

    def _found(self) -> dict[str, Ban]:
        """What was found that forbids riding, by the rule that raised it or the cause found."""
        bans = () if self.current is None else self.current.assessment.bans
        return {
            ban.rule if isinstance(ban, Raised) else ban.cause: ban
            for ban in bans
            if not isinstance(ban, Danger)
        }


class CaseActs(Protocol):
    """What the screens of a case may ask for; the case desk does it."""

    def record(self, *events: Event) -> None:
        """Add what was said or done, and assess the case again."""

    def undo(self) -> None:
        """Take the latest change back."""

    def turn_to(self, step: Step) -> None:
        """Take a step in place of the one advised."""

    def before_work(self, correction: str) -> None:
        """Ask for each reading that the work sets and that nobody took, before it is begun."""

    def go_on(self) -> None:
        """Go on with the step advised, and offer nothing besides."""

    def add_complaint(self) -> None:
        """Ask what else the rider says."""

    def volunteer(self) -> None:
        """Ask for a fact, a reading or another complaint in words, and take it."""

    def answer_again(self, observation: str) -> None:
        """Ask an observation again; the new answer stands in place of the old one."""

    def change_event(self, index: int) -> None:
        """Change what was said at `index`, in the way its kind can be changed."""

    def strike_event(self, index: int) -> None:
        """Strike out what was said at `index`."""

    def jot(self) -> None:
        """Add a note to the case."""

    def set_bike(self) -> None:
        """Set the bike of the case."""

    def harshness(self) -> None:
        """Open tyre or damping on the readings of the case."""

    def show(self, what: str, step: Step | None = None) -> None:
        """Show a screen beside the step: `sheet`, `why`, `causes`, `plan`, `earlier` or `card`.
        `why` is about `step`, by default the one advised."""

    def close(self) -> None:
        """Close the case as its rides say."""

    def leave(self) -> None:
        """Leave a step that was taken in place of the one advised, else the case; it stays kept."""

    async def told(self) -> Told:
        """What each thing said so far did to the causes."""

    async def foresee(self, current: Assessed) -> Foreseen:
        """What every open answer would do."""
