"""Picking and setting the bike."""

from __future__ import annotations

from datetime import date
from typing import Any

from diagnose.case.events import Case
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import TargetEntry
from diagnose.records.cases.entries import Amount
from tui.app.case_app import CaseApp
from tui.bikes.bike_form import BikeScreen
from tui.bikes.bike_list import BikesScreen
from tui.bikes.draft import Draft
from tui.terminal.clock import day_of


class BikeActions(CaseApp):
    """The bike a case starts on, and that of the case on the bench."""

    def __init__(self, *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        self.ticked: dict[str, set[str]] = {}
        """By bike, what has been ticked off its list since a ride was last logged."""

    @property
    def today(self) -> date:
        """The day as the person sees it on the wall, by the clock of the store."""
        return day_of(self.kept.now())

    def forget_ticks(self, bike: str) -> None:
        """A ride was logged: the list before the next one begins afresh."""
        self.ticked.pop(bike, None)

    def follow_rename(self, old: str, new: str) -> None:
        """What is ticked off goes with the bike too."""
        super().follow_rename(old, new)
        if old in self.ticked:
            self.ticked[new] = self.ticked.pop(old)

    def action_pick_bike(self) -> None:
        """Look through the bikes, and pick one for the next case."""
        self.push_screen(BikesScreen())

    def take_bike(self, bike: Bike, *, begin: bool) -> None:
        """The next case is on this bike; with `begin` it is begun now."""
        self.use_bike(bike)
        self.back_to_start()
        if begin:
            self.action_new_case()

    def action_new_case(self) -> None:
        """Start a case on the bike picked."""
        raise NotImplementedError

    def action_set_bike(self) -> None:
        """Set the bike of the case on the bench: the kept one, or one that only the case has."""
        assert self.bench is not None
        case, kept = self.bench.case, self.bench.kept
        if self.bench.closed_as is not None:
            self.notify("This case is closed; its bike stays as it was then.")
        elif kept is not None and kept.bike is not None:
            name = kept.bike
            self.in_background(lambda: BikeBook(self.kept).read(name), self._set_kept_bike)
        else:
            draft = Draft(Bike(""), "", traits=case.machine, figures=_figures(case, self.today))
            screen = BikeScreen(self.rules, draft, self.today, needs_name=False)
            self.push_screen(screen, self._bike_set)

    def _set_kept_bike(self, bike: Bike) -> None:
        self.push_screen(BikeScreen(self.rules, Draft.of(bike), self.today), self._bike_set)

    def _bike_set(self, draft: Draft | None) -> None:
        if draft is not None and self.bench is not None:
            machine = draft.machine
            self.bench.set_machine(machine.machine, machine.targets)
            self.reassess()


def _figures(case: Case, today: date) -> dict[str, TargetEntry]:
    """The figures of a case, to be looked at as those of a bike."""
    return {
        name: TargetEntry(
            spec=name, figure=Amount.of(figure), read_in="as given for the case", on=today
        )
        for name, figure in case.targets.items()
    }
