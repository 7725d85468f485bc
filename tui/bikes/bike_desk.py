"""Leads through the screens of the bikes, and holds the bike that the next case is on."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from diagnose.case.events import Case
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook, BikeRow
from diagnose.records.bikes.bike_file import bike_from_bytes
from diagnose.records.bikes.bike_journal import BikeEntry, TargetEntry
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.cases.season import season_of
from diagnose.records.store.entry_lines import Amount
from diagnose.records.store.store_problems import StoreProblem
from rules.problems import BadInput
from tui.bikes.bike_checks import BikeChecksScreen
from tui.bikes.bike_draft import BikeDraft
from tui.bikes.bike_form import BikeScreen
from tui.bikes.bike_list import BikesScreen
from tui.bikes.bike_page import BikePage
from tui.bikes.bike_record import BikeRecord
from tui.bikes.bike_sheet import read_sheet
from tui.dialogs.device_files import open_file
from tui.dialogs.prompt_screen import PromptScreen
from tui.interview.case_at_work import CaseAtWork
from tui.interview.case_desk import CaseDesk
from tui.services.shell import Shell

if TYPE_CHECKING:
    from tui.bikes.season_screen import SeasonScreen

_FILE = "bike.yaml"
_MOST_CASES = 1000


class BikeDesk:
    """The bikes kept. `look_at_case` shows the card of a case by its number."""

    def __init__(
        self, shell: Shell, cases: CaseDesk, *, look_at_case: Callable[[int], None]
    ) -> None:
        self._shell = shell
        self._cases = cases
        self.look_at_case = look_at_case
        self.picked = Bike("")
        """The bike that the next case is on; without a name it is none that is kept."""
        self.ticked: dict[str, set[str]] = {}
        """By bike, what has been ticked off its list since a ride was last logged."""

    @property
    def _book(self) -> BikeBook:
        return BikeBook(self._shell.shop.store)

    # -- the list --------------------------------------------------------------------------------

    def list(self) -> None:
        """Look through the bikes, and pick one for the next case."""
        self._shell.start(self._list())

    async def _list(self) -> None:
        rows = await self.find()
        self._shell.put(BikesScreen(self, rows, keeps=self._shell.shop.keeps))

    async def find(self) -> Sequence[BikeRow]:
        """Every bike, archived ones too. Raises `StoreProblem`."""
        return await asyncio.to_thread(self._book.rows, archived=True)

    async def _list_again(self, mark: str) -> None:
        rows, top = await self.find(), self._shell.top
        if isinstance(top, BikesScreen):
            top.show_rows(rows, mark)

    def add(self) -> None:
        """Fill in the form of a new bike."""
        self._shell.start(self._edit(Bike("")))

    def edit(self, name: str) -> None:
        """Fill in the form of a bike."""
        self._shell.start(self._edit_named(name))

    async def _edit_named(self, name: str) -> None:
        await self._edit(await self._shell.work(partial(self._book.read, name)))

    async def _edit(self, bike: Bike) -> None:
        draft = await self._shell.ask(self._form(BikeDraft.of(bike)))
        if draft is not None:
            await self._is_kept(draft.name)

    async def _is_kept(self, name: str) -> None:
        self._shell.say(f"{name} is kept.")
        await self._list_again(name)

    def bring_in(self) -> None:
        """Ask for a bike file, and keep the bike in it."""
        self._shell.start(self._bring_in())

    async def _bring_in(self) -> None:
        shop, hint = self._shell.shop, "A YAML file as f on a bike writes it."

        def read(raw: bytes, label: str) -> tuple[str, list[BikeEntry]]:
            return bike_from_bytes(shop.rules, raw, label, shop.today)

        bike = await open_file(self._shell, "Which bike file?", hint, _FILE, read)
        if bike is not None:
            await self._bring_in_as(*bike)

    async def _bring_in_as(self, name: str, entries: Sequence[BikeEntry]) -> None:
        """Keep a bike; where it cannot be kept under this name, ask for another."""
        book = self._book
        try:
            bike = await self._shell.work(lambda: book.add(name, entries))
        except StoreProblem:
            raise
        except BadInput as error:
            hint = f"{error}. Keep it under another name:"
            screen = PromptScreen("What is the bike called?", hint, name)
            other = await self._shell.ask(screen)
            if other is not None:
                await self._bring_in_as(other, entries)
        else:
            await self._is_kept(bike.name)

    # -- one bike --------------------------------------------------------------------------------

    def look_at(self, name: str) -> None:
        """Show the page of a bike."""
        self._shell.start(self._look_at(name))

    async def _look_at(self, name: str) -> None:
        shop = self._shell.shop
        sheet = await self._shell.work(lambda: read_sheet(shop.rules, shop.store, name, shop.today))
        self._shell.put(BikePage(BikeRecord(self._shell, sheet, self.ticked), self))

    def check(self, record: BikeRecord) -> None:
        """Show what is to be looked at before a ride."""
        self._shell.start(self._check(record))

    async def _check(self, record: BikeRecord) -> None:
        await record.read_again()
        await self._shell.ask(BikeChecksScreen(record))
        await record.read_again()

    def season(self, record: BikeRecord) -> None:
        """Show the year of the bike as charts."""
        self._shell.start(self._season(record))

    async def _season(self, record: BikeRecord) -> None:
        await record.read_again()
        shop = self._shell.shop

        def read() -> SeasonScreen:
            from tui.bikes.season_screen import SeasonScreen  # noqa: PLC0415  # loads the plotter

            wanted = CaseFilter(bike=record.name, limit=_MOST_CASES)
            cases = list_cases(shop.store, wanted).rows
            season = season_of(shop.rules, record.sheet.bike, cases, shop.today)
            return SeasonScreen(shop.rules, record.name, season)

        await self._shell.ask(await self._shell.work(read))

    def change(self, record: BikeRecord) -> None:
        """Fill in the form of the bike whose page is open."""
        self._shell.start(self._change(record))

    async def _change(self, record: BikeRecord) -> None:
        def renamed(old: str, new: str) -> None:
            self.follow_rename(old, new)
            record.name = new

        draft = BikeDraft.of(record.sheet.bike)
        if await self._shell.ask(BikeScreen(self._shell, draft, renamed=renamed)) is not None:
            self._shell.say("Kept.")
        await record.read_again()

    def take(self, name: str, *, begin: bool) -> None:
        """Make this the bike of the next case; with `begin` begin that now."""
        self._shell.start(self._take(name, begin=begin))

    async def _take(self, name: str, *, begin: bool) -> None:
        self.picked = await self._shell.work(partial(self._book.read, name))
        self._shell.back_to_start()
        if begin:
            self._cases.begin(self.picked)

    def follow_rename(self, old: str, new: str) -> None:
        """A bike has another name: move over what is held here under the old one."""
        if self.picked.name == old:
            self.picked = replace(self.picked, name=new)
        if old in self.ticked:
            self.ticked[new] = self.ticked.pop(old)
        self._cases.follow_rename(old, new)

    # -- the bike of a case ----------------------------------------------------------------------

    def set_bike_of_case(self, case: CaseAtWork) -> None:
        """Set the bike of a case: the kept one, or one that only the case has."""
        if case.closed_as is not None:
            self._shell.say("This case is closed; its bike stays as it was then.")
        else:
            self._shell.start(self._set_bike_of_case(case))

    async def _set_bike_of_case(self, case: CaseAtWork) -> None:
        shop, name = self._shell.shop, case.kept.bike if case.kept is not None else None
        if name is not None:
            bike = await self._shell.work(partial(self._book.read, name))
            screen = self._form(BikeDraft.of(bike))
        else:
            figures = _figures(case.case, shop.today)
            draft = BikeDraft(Bike(""), "", traits=case.case.machine, figures=figures)
            screen = self._form(draft, needs_name=False)
        result = await self._shell.ask(screen)
        if result is not None:
            case.diagnosis.set_bike(result.machine.machine, result.machine.targets)
            await self._cases.assess()

    def _form(self, draft: BikeDraft, *, needs_name: bool = True) -> BikeScreen:
        return BikeScreen(self._shell, draft, renamed=self.follow_rename, needs_name=needs_name)


def _figures(case: Case, today: date) -> dict[str, TargetEntry]:
    """The figures of a case, to be looked at as those of a bike."""
    return {
        name: TargetEntry(
            spec=name, figure=Amount.of(figure), read_in="as given for the case", on=today
        )
        for name, figure in case.targets.items()
    }
