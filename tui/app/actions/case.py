"""What can be done with a case: each action is one key, one palette entry, one screen."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from diagnose.case.events import Answered, Case, Complained, Event, Noted, Rode, standing
from diagnose.case.phases import riding_phases
from diagnose.case.revising import latest_answer
from diagnose.records.bikes.bike import Bike
from diagnose.records.cases.known import Assumption, starting_case
from tui.app.actions.bike import BikeActions
from tui.app.actions.trouble import TroubleActions
from tui.cases.job_card import JobCardScreen
from tui.cases.starting import Known, what_is_known
from tui.dialogs.base import SideScreen
from tui.dialogs.pick import pick_offer
from tui.dialogs.prompt import PromptScreen
from tui.interview.answer import AnswerScreen
from tui.interview.causes import CausesScreen
from tui.interview.complaint import ComplaintScreen
from tui.interview.earlier import EarlierScreen
from tui.interview.interview import InterviewScreen
from tui.interview.known_screen import KnownScreen
from tui.interview.phase_screen import PhaseScreen
from tui.interview.plan import PlanScreen
from tui.interview.why import WhyScreen
from tui.plain.offers import place_offers, ride_offers


class CaseActions(BikeActions, TroubleActions):
    """Starting a case, moving it on and back, and looking at it."""

    # -- starting --------------------------------------------------------------------------------

    def action_new_case(self) -> None:
        """Start a case on the bike picked, from what is known of it."""
        if self.bike.name:
            self.in_background(self._what_is_known, self._show_known)
        else:
            self._start(self.bike, ())

    def _what_is_known(self) -> Known:
        return what_is_known(self.rules, self.kept, self.bike.name)

    def _show_known(self, known: Known) -> None:
        self.use_bike(known.bike)
        if not known.assumptions and not known.earlier:
            self._start(known.bike, ())
            return

        def accepted(taken: tuple[Assumption, ...] | None) -> None:
            if taken is not None:
                self._start(known.bike, taken)

        self.push_screen(KnownScreen(self.rules, known), accepted)

    def _start(self, bike: Bike, taken: Sequence[Assumption]) -> None:
        """The first question is what the rider says."""
        case = starting_case(self.rules, bike, list(taken))
        assumed = [item.assumed for item in taken]
        keeper = self.keeper(case, bike=bike.name or None, assumed=assumed)
        self.on_bench(case, bike.name, keeper)
        self.action_add_complaint()

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
        case = self.bench.case
        index = latest_answer(case, observation)
        screen = AnswerScreen(self.rules, case, observation)
        self.push_screen(screen, partial(self._answered_again, case, index))

    def _answered_again(self, asked: Case, index: int | None, event: Event | None) -> None:
        if event is None or self.bench is None:
            return
        events = self.bench.case.events
        if index is None:
            self.bench.add(event)
        elif events[index : index + 1] == asked.events[index : index + 1]:
            self.bench.change(index, event)
        else:
            self.notify("The case was moved on meanwhile; look at it again.", severity="warning")
            return
        self.reassess()

    def change_event(self, index: int) -> None:
        """Change what was said at `index`, in the way its kind can be changed."""
        assert self.bench is not None
        case = self.bench.case
        event = case.events[index]
        then = partial(self._answered_again, case, index)
        if isinstance(event, Answered):
            self.push_screen(AnswerScreen(self.rules, case, event.observation), then)
        elif isinstance(event, Rode):
            pick_offer(self, "How did the ride go?", ride_offers(), then)
        elif isinstance(event, Noted):
            self.push_screen(
                PromptScreen("Change the note", value=event.text, replace=False),
                lambda text: then(Noted(text) if text else None),
            )
        elif isinstance(event, Complained) and self.rules.complaints[event.complaint].places:
            title = f"{self.rules.complaints[event.complaint].title}: which end?"
            pick_offer(self, title, place_offers(self.rules, event.complaint), then)
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

    def _open_once(self, screen: SideScreen) -> None:
        """One side screen makes way for another, so that Escape leads to the step."""
        if isinstance(self.screen, SideScreen):
            self.switch_screen(screen)
        else:
            self.push_screen(screen)
