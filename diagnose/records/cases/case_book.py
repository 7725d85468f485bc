"""Cases in the store: begin one, add to it, read it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select, update
from sqlalchemy.exc import IntegrityError

from diagnose.case.events import Answered, Case, Corrected, Noted, Told, standing
from diagnose.records.cases.case_title import case_title
from diagnose.records.cases.entries import Assumed, CaseEntry, Closed, Details, Forecast, Reopened
from diagnose.records.cases.folding import Folded, entries_between, fold, started
from diagnose.records.cases.journal import event_entry, read_entry
from diagnose.records.store.journals import (
    MOST_TRIES,
    add_to_journal,
    next_number,
    read_journal,
    write_anew,
)
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import Clash, NotFound, StoreProblem
from diagnose.records.store.tables import BIKES, CASE_ENTRIES, CASES
from diagnose.records.store.times import read_moment, written
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class KeptCase:
    """A case as the store has it. `bike` is None for a bike that is not kept."""

    id: int
    bike: str | None
    opened_at: datetime
    entries: tuple[tuple[CaseEntry, datetime], ...]
    folded: Folded

    @property
    def case(self) -> Case:
        """The case, without what was taken back."""
        return self.folded.case

    @property
    def closed_at(self) -> datetime | None:
        """When it was closed, the last time where that was several times; None while it is open."""
        closed = self.folded.closed
        moments = (at for entry, at in reversed(self.entries) if entry == closed)
        return None if closed is None else next(moments)

    @property
    def version(self) -> int:
        """How many entries the journal has; two who add to the same version clash."""
        return len(self.entries)


class CaseBook:
    """The cases of a store."""

    def __init__(self, store: Store, rules: RuleBase) -> None:
        self.store = store
        self.rules = rules

    def now(self) -> datetime:
        """The current moment, with its time zone."""
        return self.store.now()

    def begin(
        self, case: Case, bike: str | None = None, assumed: Sequence[Assumed | None] = ()
    ) -> KeptCase:
        """Keep a new case; `assumed` says event for event what was taken from the records.

        Raises `StoreProblem`, `NotFound` for a bike that is not there.
        """
        padded = [*assumed, *[None] * (len(case.events) - len(assumed))]
        entries: list[CaseEntry] = [
            started(Case(case.machine, case.targets), self.rules.info.id, self.rules.info.version)
        ]
        entries += [event_entry(e, a) for e, a in zip(case.events, padded, strict=True)]
        return write_anew(
            self.store,
            lambda connection: self._begin(connection, entries, bike),
            "no number was free for the new case; try again",
        )

    def _begin(
        self, connection: Connection, entries: list[CaseEntry], bike: str | None
    ) -> KeptCase:
        at = self.store.now()
        dated = tuple((entry, at) for entry in entries)
        number = next_number(connection, CASES.c.id)
        kept = KeptCase(number, bike, at, dated, fold(dated, number))
        bike_id = None if bike is None else _bike_id(connection, bike)
        row = self._summary(kept, written(at))
        row |= {
            "id": number,
            "bike_id": bike_id,
            "pack": self.rules.info.id,
            "opened_at": written(at),
        }
        connection.execute(insert(CASES), row)
        add_to_journal(connection, CASE_ENTRIES, {"case_id": number}, 0, dated)
        return kept

    def read(self, number: int) -> KeptCase:
        """A case by its number. Raises `NotFound`, and `StoreProblem` naming a damaged entry."""
        with self.store.reading() as connection:
            return self.read_in(connection, number)

    def read_in(self, connection: Connection, number: int) -> KeptCase:
        """`read` inside the caller's transaction."""
        head = connection.execute(
            select(CASES.c.opened_at, BIKES.c.name)
            .select_from(CASES.outerjoin(BIKES))
            .where(CASES.c.id == number)
        ).one_or_none()
        if head is None:
            raise NotFound(f"there is no case {number}; `badride cases list` shows those there are")
        entries = read_journal(
            connection,
            CASE_ENTRIES,
            {"case_id": number},
            read_entry,
            lambda n: f"{self.store.place}: entry {n} of case {number}",
        )
        return KeptCase(
            number, head.name, read_moment(head.opened_at), entries, fold(entries, number)
        )

    def record(self, kept: KeptCase, case: Case, forecast: Forecast | None = None) -> KeptCase:
        """Add the entries that turn `kept` into `case`; they are on disk when this returns.

        `forecast` is kept before a correction. Raises `Clash` when another terminal was first.
        """
        entries = list(entries_between(kept.case, case))
        if not entries:
            return kept
        if kept.folded.closed is not None:
            raise StoreProblem(
                f"case {kept.id} is closed ({kept.folded.closed.outcome}); "
                f"`badride cases reopen {kept.id}` opens it again"
            )
        if forecast is not None and isinstance(case.events[-1], Corrected):
            entries.insert(len(entries) - 1, forecast)
        return self.append(kept, entries)

    def note(self, number: int, text: str) -> KeptCase:
        """Add a note to an open case, behind whatever other terminals add to it meanwhile.

        Raises `Clash` where they do so all the time, and other `StoreProblem`s.
        """
        for _ in range(MOST_TRIES):
            kept = self.read(number)
            try:
                return self.record(kept, kept.case.with_event(Noted(text)))
            except Clash:
                continue
        raise Clash(f"case {number} is being written by others all the time; try again")

    def append(
        self,
        kept: KeptCase,
        entries: Sequence[CaseEntry],
        also: Sequence[Any] = (),
        at: datetime | None = None,
    ) -> KeptCase:
        """Add entries, and carry out the statements `also` in the same transaction.

        `at` is their moment, by default now. Raises `Clash` and other `StoreProblem`s; then nothing
        is added.
        """
        at = at or self.store.now()
        dated = tuple((entry, at) for entry in entries)
        together = (*kept.entries, *dated)
        after = KeptCase(kept.id, kept.bike, kept.opened_at, together, fold(together, kept.id))
        try:
            with self.store.writing() as connection:
                own = {"case_id": kept.id}
                add_to_journal(connection, CASE_ENTRIES, own, kept.version, dated)
                changed = update(CASES).where(CASES.c.id == kept.id)
                connection.execute(changed.values(**self._summary(after, written(at))))
                for statement in also:
                    connection.execute(statement)
        except IntegrityError as error:
            raise Clash(
                f"another terminal has added to case {kept.id} meanwhile; nothing of either is "
                "lost. It has been read again: look at it and go on from there"
            ) from error
        return after

    def fill_in(self, kept: KeptCase, details: Details) -> KeptCase:
        """Put these details on an open or closed case. Raises `Clash` and other `StoreProblem`s."""
        return kept if details == kept.folded.details else self.append(kept, [details])

    def reopen(self, kept: KeptCase, also: Sequence[Any] = ()) -> KeptCase:
        """Open a closed case again. Raises `StoreProblem` for one that is open."""
        if kept.folded.closed is None:
            raise StoreProblem(f"case {kept.id} is open; `badride ask --case {kept.id}` resumes it")
        return self.append(kept, [Reopened()], also)

    def _summary(self, kept: KeptCase, stamp: str) -> dict[str, Any]:
        """The columns that lists and searches look at."""
        closed = kept.folded.closed
        now = standing(kept.case)
        complaints = [complained.key for complained in now.complaints]
        title = case_title(self.rules, kept.case)
        return {
            "title": title,
            "complaints": " ".join(complaints),
            "search": self._search_text(kept, title, closed),
            "state": "open" if closed is None else "closed",
            "outcome": closed.outcome if closed else None,
            "cause": closed.cause if closed else None,
            "correction": closed.correction if closed else None,
            "changed_at": stamp,
        }

    def _search_text(self, kept: KeptCase, title: str, closed: Closed | None) -> str:
        rules = self.rules
        filled = kept.folded.details
        words = [title, closed.why if closed else "", filled.customer, filled.bike]
        words += [filled.technician, filled.parts]
        for event in kept.case.events:
            if isinstance(event, Told | Noted):
                words.append(event.text)
            elif isinstance(event, Corrected) and event.correction in rules.corrections:
                words.append(rules.corrections[event.correction].title)
            elif isinstance(event, Answered) and event.state is not None:
                words.append(event.observation)
        cured = [one.cause for one in closed.cured] if closed else []
        words += [rules.causes[cause].title for cause in cured if cause and cause in rules.causes]
        return " | ".join(word for word in words if word).casefold()


def _bike_id(connection: Connection, name: str) -> int:
    found = connection.execute(
        select(BIKES.c.id).where(BIKES.c.name_key == name.casefold())
    ).scalar_one_or_none()
    if found is None:
        raise NotFound(f"there is no bike {name!r}; `badride bike list` shows those there are")
    return int(found)
