"""What can be done with a case: each action is one key, one palette entry, one screen."""

from __future__ import annotations

from functools import partial

from diagnose.case import RIDE_REPORTS, Answered, Case, Complained, Event, Noted, Rode, standing
from diagnose.phases import riding_phases
from diagnose.revising import latest_answer
from tui.case_app import CaseApp
from tui.screens.answer import AnswerScreen
from tui.screens.bike import BikeScreen
from tui.screens.causes import CausesScreen
from tui.screens.complaint import ComplaintScreen, place_choices
from tui.screens.earlier import EarlierScreen
from tui.screens.interview import InterviewScreen
from tui.screens.job_card import JobCardScreen
from tui.screens.phases import PhaseScreen
from tui.screens.pick import PickScreen, numbered
from tui.screens.plan import PlanScreen
from tui.screens.prompt import PromptScreen
from tui.screens.why import WhyScreen
from tui.shelf import Bike

_ADD_BIKE = "+"


class CaseActions(CaseApp):
    """Starting a case, moving it on and back, and looking at it."""

    # -- starting --------------------------------------------------------------------------------

    def action_new_case(self) -> None:
        """Start a case on the bike picked: the first question is what the rider says."""
        case = Case(self.bike.traits, self.bike.targets)
        self.on_bench(case, self.bike.name, self.shelf.next_id())
        self.action_add_complaint()

    def go_on_with_case(self) -> None:
        """Show the interview for the case on the bench."""
        self.push_screen(InterviewScreen())

    def leave_case(self) -> None:
        """Back to the start; the case stays on the shelf."""
        self.back_to_start()

    def back_to_start(self) -> None:
        """Leave every screen but the first."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        self._tell_screens()

    def action_add_complaint(self) -> None:
        """Ask what the rider says."""
        assert self.bench is not None
        already = standing(self.bench.case).complaints
        self.push_screen(ComplaintScreen(self.rules, already), self._complained)

    def _complained(self, picked: tuple[Complained, ...] | None) -> None:
        if picked is None:
            return
        assert self.bench is not None
        answered = standing(self.bench.case).answers
        phases = tuple(p for p in riding_phases(self.rules) if p not in answered)
        if phases:
            screen = PhaseScreen(self.rules, phases)
            self.push_screen(screen, partial(self._begin, picked))
        else:
            self._begin(picked, None)

    def _begin(self, picked: tuple[Complained, ...], answers: tuple[Answered, ...] | None) -> None:
        """Record what was picked and show the interview, unless it is there already."""
        if not any(isinstance(screen, InterviewScreen) for screen in self.screen_stack):
            self.push_screen(InterviewScreen())
        self.record(*picked, *(answers or ()))

    # -- the bike --------------------------------------------------------------------------------

    def action_pick_bike(self) -> None:
        """Pick a bike that was added, or add one."""
        bikes = self.shelf.bikes()
        if not bikes:
            self._edit_bike(self.bike)
            return
        rows = [(str(number), bike.name) for number, bike in enumerate(bikes)]
        choices = numbered([*rows, (_ADD_BIKE, "Add another bike")])
        self.push_screen(PickScreen("Which bike?", choices), partial(self._bike_picked, bikes))

    def _bike_picked(self, bikes: tuple[Bike, ...], value: str | None) -> None:
        if value == _ADD_BIKE:
            self._edit_bike(Bike(""))
        elif value is not None:
            self.bike = bikes[int(value)]
            self._tell_screens()

    def _edit_bike(self, bike: Bike) -> None:
        self.push_screen(BikeScreen(self.rules, bike), self._bike_kept)

    def _bike_kept(self, bike: Bike | None) -> None:
        if bike is None:
            return
        named = bike if bike.name else Bike("My bike", bike.traits, bike.targets)
        self.bike = named
        self.shelf.keep_bike(named)
        self._tell_screens()

    def action_set_bike(self) -> None:
        """Set the bike of the case on the bench."""
        assert self.bench is not None
        case = self.bench.case
        bike = Bike(self.bench.bike, case.machine, case.targets)
        self.push_screen(BikeScreen(self.rules, bike), self._bike_set)

    def _bike_set(self, bike: Bike | None) -> None:
        if bike is None or self.bench is None:
            return
        self._bike_kept(bike)
        self.bench.bike = self.bike.name
        self.bench.set_machine(bike.traits, bike.targets)
        self.reassess()

    # -- moving the case -------------------------------------------------------------------------

    def action_undo(self) -> None:
        """Take the latest answer back."""
        assert self.bench is not None
        if self.bench.undo():
            self.reassess()
        else:
            self.notify("Nothing to take back.")

    def answer_again(self, observation: str) -> None:
        """Ask an observation again and let the new answer stand in place of the old one."""
        assert self.bench is not None
        index = latest_answer(self.bench.case, observation)
        screen = AnswerScreen(self.rules, self.bench.case, observation)
        self.push_screen(screen, partial(self._answered_again, index))

    def _answered_again(self, index: int | None, event: Event | None) -> None:
        if event is None or self.bench is None:
            return
        if index is None:
            self.bench.add(event)
        else:
            self.bench.change(index, event)
        self.reassess()

    def change_event(self, index: int) -> None:
        """Change what was said at `index`, in the way its kind can be changed."""
        assert self.bench is not None
        case = self.bench.case
        event = case.events[index]
        then = partial(self._answered_again, index)
        if isinstance(event, Answered):
            self.push_screen(AnswerScreen(self.rules, case, event.observation), then)
        elif isinstance(event, Rode):
            choices = numbered([(report, report.capitalize()) for report in RIDE_REPORTS])
            reports = {report: Rode(report) for report in RIDE_REPORTS}
            self.push_screen(
                PickScreen("How did the ride go?", choices),
                lambda value: then(reports[value] if value else None),
            )
        elif isinstance(event, Noted):
            self.push_screen(
                PromptScreen("Change the note", value=event.text, replace=False),
                lambda text: then(Noted(text) if text else None),
            )
        elif isinstance(event, Complained) and self.rules.complaints[event.complaint].places:
            name = event.complaint
            places = self.rules.complaints[name].places
            self.push_screen(
                PickScreen(
                    f"{self.rules.complaints[name].title}: which end?", place_choices(places)
                ),
                lambda place: then(
                    None if place is None else Complained(name, place if place in places else None)
                ),
            )
        else:
            self.notify("That can only be struck out (x).")

    def strike_event(self, index: int) -> None:
        """Strike out what was said at `index`."""
        assert self.bench is not None
        self.bench.strike(index)
        self.reassess()

    def action_jot(self) -> None:
        """Add a note to the case."""
        hint = "Kept with the case and shown on the job card; it is not evidence."
        self.push_screen(PromptScreen("Note", hint), self._jotted)

    def _jotted(self, text: str | None) -> None:
        if text:
            self.record(Noted(text))

    # -- looking ---------------------------------------------------------------------------------

    def action_why(self) -> None:
        """Why this step."""
        self._open_once(WhyScreen())

    def action_causes(self) -> None:
        """The ranked causes and their reasons."""
        self._open_once(CausesScreen())

    def action_plan(self) -> None:
        """The corrections in order."""
        self._open_once(PlanScreen())

    def action_earlier(self) -> None:
        """Everything said so far."""
        self._open_once(EarlierScreen())

    def action_job_card(self) -> None:
        """The case on one page."""
        self._open_once(JobCardScreen())

    def _open_once(
        self, screen: WhyScreen | CausesScreen | PlanScreen | EarlierScreen | JobCardScreen
    ) -> None:
        """One side screen makes way for another, so that Escape leads to the step."""
        if isinstance(
            self.screen, WhyScreen | CausesScreen | PlanScreen | EarlierScreen | JobCardScreen
        ):
            self.switch_screen(screen)
        else:
            self.push_screen(screen)
