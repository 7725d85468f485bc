"""The bike that a case would be begun on, and the screens that pick, make and change bikes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from diagnose.case.events import Case
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import TargetEntry
from diagnose.records.cases.entries import Amount
from tui.bikes.bike_form import BikeScreen
from tui.bikes.bike_list import BikesScreen
from tui.bikes.draft import Draft
from tui.interview.case_at_work import CaseAtWork
from tui.interview.case_desk import CaseDesk
from tui.services.shell import Shell


class BikeDesk:
    """The bikes kept. `look_at_case` shows the card of a case by its number."""

    def __init__(
        self, shell: Shell, cases: CaseDesk, *, look_at_case: Callable[[int], None]
    ) -> None:
        self.shell = shell
        self._cases = cases
        self.look_at_case = look_at_case
        self.picked = Bike("")
        """The bike that a case would be begun on; without a name it is none that is kept."""
        self.ticked: dict[str, set[str]] = {}
        """By bike, what has been ticked off its list since a ride was last logged."""

    @property
    def book(self) -> BikeBook:
        """The bikes of the store."""
        return BikeBook(self.shell.shop.store)

    def list(self) -> None:
        """Look through the bikes, and pick one for the next case."""
        self.shell.put(BikesScreen(self))

    def take(self, bike: Bike, *, begin: bool) -> None:
        """The next case is on this bike; with `begin` it is begun now."""
        self.picked = bike
        self.shell.back_to_start()
        if begin:
            self._cases.begin(bike)

    def forget_ticks(self, bike: str) -> None:
        """A ride was logged: the list before the next one begins afresh."""
        self.ticked.pop(bike, None)

    def follow_rename(self, old: str, new: str) -> None:
        """A bike is called otherwise: what belongs to it goes on doing so."""
        if self.picked.name == old:
            self.picked = replace(self.picked, name=new)
        if old in self.ticked:
            self.ticked[new] = self.ticked.pop(old)
        self._cases.follow_rename(old, new)

    def set_bike_of_case(self, case: CaseAtWork) -> None:
        """Set the bike of a case: the kept one, or one that only the case has."""
        if case.closed_as is not None:
            self.shell.say("This case is closed; its bike stays as it was then.")
        else:
            self.shell.start(self._set_bike_of_case(case))

    async def _set_bike_of_case(self, case: CaseAtWork) -> None:
        shop, name = self.shell.shop, case.kept.bike if case.kept is not None else None
        if name is not None:
            bike = await self.shell.work(lambda: self.book.read(name))
            screen = BikeScreen(self, Draft.of(bike))
        else:
            figures = _figures(case.case, shop.today)
            draft = Draft(Bike(""), "", traits=case.case.machine, figures=figures)
            screen = BikeScreen(self, draft, needs_name=False)
        draft = await self.shell.ask(screen)
        if draft is not None:
            case.diagnosis.set_bike(draft.machine.machine, draft.machine.targets)
            await self._cases.assess()


def _figures(case: Case, today: date) -> dict[str, TargetEntry]:
    """The figures of a case, to be looked at as those of a bike."""
    return {
        name: TargetEntry(
            spec=name, figure=Amount.of(figure), read_in="as given for the case", on=today
        )
        for name, figure in case.targets.items()
    }
