"""The entries of a case's journal. They are only ever added, also to take something back."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from diagnose.case.events import RideReport
from diagnose.records.cases.proof import Outcome
from diagnose.records.store.entry_lines import Amount, EntryPart


class Assumed(EntryPart):
    """An answer was taken from the records, not asked: what it rests on, and the date of that."""

    rests_on: str
    on: str


class Started(EntryPart):
    """The case was opened on this bike, under this rule base."""

    kind: Literal["started"] = "started"
    pack: str
    pack_version: str
    machine: dict[str, str]
    targets: dict[str, Amount]


class MachineSet(EntryPart):
    """The bike's traits or targets were corrected."""

    kind: Literal["machine"] = "machine"
    machine: dict[str, str]
    targets: dict[str, Amount]


class ComplainedEntry(EntryPart):
    """See `diagnose.case.events.Complained`."""

    kind: Literal["complained"] = "complained"
    complaint: str
    place: str | None = None


class AnsweredEntry(EntryPart):
    """See `diagnose.case.events.Answered`; `assumed` where nobody was asked."""

    kind: Literal["answered"] = "answered"
    observation: str
    state: str | None = None
    reading: Amount | None = None
    cannot_here: bool = False
    assumed: Assumed | None = None


class CorrectedEntry(EntryPart):
    """See `diagnose.case.events.Corrected`."""

    kind: Literal["corrected"] = "corrected"
    correction: str


class DeclinedEntry(EntryPart):
    """See `diagnose.case.events.Declined`."""

    kind: Literal["declined"] = "declined"
    correction: str


class RodeEntry(EntryPart):
    """See `diagnose.case.events.Rode`."""

    kind: Literal["rode"] = "rode"
    report: RideReport
    about: str = ""


class InsistedEntry(EntryPart):
    """See `diagnose.case.events.Insisted`."""

    kind: Literal["insisted"] = "insisted"
    rule: str


class AskingEntry(EntryPart):
    """See `diagnose.case.events.Asking`."""

    kind: Literal["asking"] = "asking"
    person: str


class ToldEntry(EntryPart):
    """See `diagnose.case.events.Told`."""

    kind: Literal["told"] = "told"
    text: str


class NotedEntry(EntryPart):
    """See `diagnose.case.events.Noted`."""

    kind: Literal["noted"] = "noted"
    text: str


EventEntry = (
    ComplainedEntry
    | AnsweredEntry
    | CorrectedEntry
    | DeclinedEntry
    | RodeEntry
    | InsistedEntry
    | ToldEntry
    | AskingEntry
    | NotedEntry
)


class TakenBack(EntryPart):
    """The latest `count` events no longer stand."""

    kind: Literal["taken-back"] = "taken-back"
    count: Annotated[int, Field(ge=1)] = 1


class AnswerChanged(EntryPart):
    """`event` replaces the one at `index` (from 0, among the events that stand)."""

    kind: Literal["changed"] = "changed"
    index: Annotated[int, Field(ge=0)]
    event: Annotated[EventEntry, Field(discriminator="kind")]


class Struck(EntryPart):
    """The event at `index` no longer stands; those after it do."""

    kind: Literal["struck"] = "struck"
    index: Annotated[int, Field(ge=0)]


class Forecast(EntryPart):
    """The probability of each cause just before a correction."""

    kind: Literal["forecast"] = "forecast"
    chances: dict[str, float]
    learned: bool = False


class Cured(EntryPart):
    """A correction that rides have proven, and the cause it put right where that can be told."""

    correction: str
    cause: str | None = None


class Closed(EntryPart):
    """The case is over; see `diagnose.records.cases.proof`. `also` has what else was proven."""

    kind: Literal["closed"] = "closed"
    outcome: Outcome
    why: str
    correction: str | None = None
    cause: str | None = None
    also: tuple[Cured, ...] = ()

    @property
    def cured(self) -> tuple[Cured, ...]:
        """Everything that it was closed on, the first before the others."""
        first = (Cured(correction=self.correction, cause=self.cause),) if self.correction else ()
        return (*first, *self.also)


class Reopened(EntryPart):
    """The closed case was opened again."""

    kind: Literal["reopened"] = "reopened"


class Details(EntryPart):
    """What the paperwork says of a case, whole each time; an empty text is not filled in. None of
    it is evidence."""

    kind: Literal["details"] = "details"
    customer: str = ""
    bike: str = ""
    technician: str = ""
    parts: str = ""
    time: str = ""
    price: str = ""


CaseEntry = (
    EventEntry
    | Started
    | MachineSet
    | TakenBack
    | AnswerChanged
    | Struck
    | Forecast
    | Closed
    | Reopened
    | Details
)
