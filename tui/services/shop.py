"""The rule base in use, as the shop's proven cases have moved it, and the store behind it.

What loads them is imported where they are loaded: the first screen is painted before that.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from tui.terminal.clock import day_of, now

if TYPE_CHECKING:
    from diagnose.advice.assessor import Assessor
    from diagnose.records.bikes.bike import Bike
    from diagnose.records.cases.case_book import CaseBook, KeptCase
    from diagnose.records.store.place import Place
    from diagnose.records.store.store import Store
    from rules.rulebase import RuleBase

_PERSON, _PRICE = "who-asks", "notes-a-price"


class Shop:
    """Loads the rule base and opens the store. Every method takes time: call it in a thread.

    `open_assessor` and `open_store` may raise `BadInput`. With `learning` the rule base is used as
    the shop's own proven cases have moved it.
    """

    def __init__(
        self,
        open_assessor: Callable[[], Assessor],
        open_store: Callable[[], Store] | None = None,
        *,
        learning: bool = True,
    ) -> None:
        self._open_assessor = open_assessor
        self._open_store = open_store or _in_memory
        self._learning = learning
        self._as_written: Assessor | None = None
        self._assessor: Assessor | None = None
        self._store: Store | None = None
        self._person = ""
        self._notes_price = False
        self.taught_by = 0
        """How many proven cases of the shop have moved the rule base."""

    @property
    def is_open(self) -> bool:
        """Whether both the rule base and the store are there."""
        return self._assessor is not None and self._store is not None

    @property
    def assessor(self) -> Assessor:
        """The assessor on the rule base in use. Only once the shop `is_open`."""
        assert self._assessor is not None
        return self._assessor

    @property
    def rules(self) -> RuleBase:
        """The rule base in use, as the shop's proven cases have moved it."""
        return self.assessor.rules

    @property
    def rules_as_written(self) -> RuleBase:
        """The rule base as its packs have it, without what the shop's cases have taught."""
        assert self._as_written is not None
        return self._as_written.rules

    @property
    def person(self) -> str:
        """Who asks here, by an id of the pack's people; empty until it is set, and where the pack
        does not know such people."""
        return self._person if self._person in self.rules.policy.people else ""

    def ask_as(self, person: str) -> None:
        """Set who asks, for cases that begin from here on. Raises `StoreProblem`."""
        from diagnose.records.store.shop_settings import put_in_shop  # noqa: PLC0415

        put_in_shop(self.store, _PERSON, person)
        self._person = person

    @property
    def notes_price(self) -> bool:
        """Whether a job card has a price here; not until the shop asks for it."""
        return self._notes_price

    def note_price(self, wanted: bool) -> None:
        """Ask for a price on job cards from here on, or not any more. Raises `StoreProblem`."""
        from diagnose.records.store.shop_settings import put_in_shop  # noqa: PLC0415

        put_in_shop(self.store, _PRICE, "yes" if wanted else None)
        self._notes_price = wanted

    @property
    def store(self) -> Store:
        """The store behind the rooms. Only once the shop `is_open`."""
        assert self._store is not None
        return self._store

    @property
    def keeps(self) -> bool:
        """Whether what is entered is still there after the program has ended."""
        from diagnose.records.store.place import MEMORY  # noqa: PLC0415

        return self._store is not None and self._store.place != MEMORY

    @property
    def book(self) -> CaseBook:
        """The cases kept in the store."""
        from diagnose.records.cases.case_book import CaseBook  # noqa: PLC0415

        return CaseBook(self.store, self.rules)

    @property
    def now(self) -> datetime:
        """The current time, by the clock of the store."""
        return self.store.now()

    @property
    def today(self) -> date:
        """The current day in the local time zone, by the clock of the store."""
        return day_of(self.now)

    def load(self) -> None:
        """Load the rule base. Raises `BadInput`."""
        self._as_written = self._open_assessor()

    def use(self, open_assessor: Callable[[], Assessor]) -> None:
        """Use another rule base, for cases that are begun from here on. Raises `BadInput`; then the
        one before stays in use."""
        self._as_written = open_assessor()
        self._open_assessor = open_assessor
        self.learn()

    def open(self, *, in_memory: bool = False) -> None:
        """Open the store; with `in_memory` one that ends with the program. Raises `BadInput`."""
        from diagnose.records.store.shop_settings import read_shop  # noqa: PLC0415

        self._store = _in_memory() if in_memory else self._open_store()
        has_set = read_shop(self._store, (_PERSON, _PRICE))
        self._person, self._notes_price = has_set.get(_PERSON, ""), _PRICE in has_set
        self.learn()

    def learn(self) -> None:
        """Use what the shop's proven cases teach, for cases that are begun from here on.

        Raises `StoreProblem`.
        """
        from diagnose.advice.assessor import Assessor  # noqa: PLC0415
        from diagnose.records.learning.learned import learn_in_use  # noqa: PLC0415

        assert self._as_written is not None
        learned = learn_in_use(self._as_written.rules, self.store) if self._learning else None
        if learned is None or not learned.is_any:
            self._assessor, self.taught_by = self._as_written, 0
            return
        self._assessor, self.taught_by = Assessor(learned.rules), learned.cases

    def assessor_for(self, kept: KeptCase) -> Assessor:
        """The assessor for a kept case: a closed one is judged by what the shop had learned when it
        was closed, so that its own lesson does not move it. Raises `StoreProblem`."""
        from diagnose.advice.assessor import Assessor  # noqa: PLC0415
        from diagnose.records.learning.learned import learn_in_use  # noqa: PLC0415

        if kept.closed_at is None or not self.taught_by:
            return self.assessor
        learned = learn_in_use(self.rules_as_written, self.store, kept.closed_at)
        return self.assessor if learned.cases == self.taught_by else Assessor(learned.rules)

    def bike_of(self, kept: KeptCase) -> Bike | None:
        """The bike of a case; None for one that is not kept, or not by that name any more."""
        from diagnose.records.bikes.bike_book import BikeBook  # noqa: PLC0415
        from diagnose.records.store.store_problems import NotFound  # noqa: PLC0415

        if not kept.id or kept.bike is None:
            return None
        try:
            return BikeBook(self.store).read(kept.bike)
        except NotFound:
            return None


def _in_memory() -> Store:
    from diagnose.records.store.opening import open_memory  # noqa: PLC0415

    return open_memory(now)


def short_place(place: Place) -> str:
    """Where the store is, with `~` for the home folder."""
    home = Path.home()
    if place.path is not None and place.path.is_relative_to(home):
        return str(Path("~") / place.path.relative_to(home))
    return str(place)
