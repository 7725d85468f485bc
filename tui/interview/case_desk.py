"""Leads a case across its screens, from its beginning on; every change is kept."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import Step
from diagnose.case.events import Answered, Case, Complained, Corrected, Event, Noted, Rode, standing
from diagnose.case.revising import latest_answer
from diagnose.case.set_figures import figures_to_ask
from diagnose.diagnosis import Assessed, Diagnosis, MovedOn
from diagnose.listening.listen import listener_of
from diagnose.listening.volunteered import reading_in
from diagnose.records.bikes.bike import Bike
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.keeping import CaseKeeping
from diagnose.records.cases.known import Assumption, starting_case
from diagnose.words.event_words import event_text
from rules.problems import BadInput
from tui.dialogs.pick_screen import PickScreen, pick_offer
from tui.dialogs.prompt_screen import PromptScreen
from tui.interview.answer_screen import AnswerScreen, FoundScreen, SetScreen
from tui.interview.case_at_work import CaseAtWork, Foreseen, Told
from tui.interview.causes_screen import CausesScreen
from tui.interview.earlier_screen import EarlierScreen
from tui.interview.fact_screen import FactScreen
from tui.interview.first_pages import FirstPages, Opened
from tui.interview.known_screen import KnownScreen
from tui.interview.not_kept import NotKept
from tui.interview.plan_screen import PlanScreen
from tui.interview.sheet_screen import SheetScreen
from tui.interview.side import CaseScreen, SideScreen
from tui.interview.starting import what_is_known
from tui.interview.step_screen import InterviewScreen
from tui.interview.warning_screen import WarningScreen
from tui.interview.why_screen import WhyScreen
from tui.plain.offers import place_offers, ride_offers
from tui.services.shell import Shell

_MOST_TOLD = 5


@dataclass(frozen=True, slots=True)
class _Begun:
    """A case before and after the rider's words became part of it."""

    work: CaseAtWork
    before: Case
    after: Case
    opened: Opened


class CaseDesk:
    """The case on the screens. There is at most one; another takes its place."""

    def __init__(
        self,
        shell: Shell,
        *,
        card: Callable[[bool], SideScreen],
        close: Callable[[], None],
        set_bike: Callable[[], None],
        harshness: Callable[[], None],
    ) -> None:
        """`card` makes the screen of the job card, told whether it is to offer to go on with the
        case; the others do what their names say to the case at work."""
        self._shell = shell
        self._card, self.close = card, close
        self.set_bike, self.harshness = set_bike, harshness
        self.at_work: CaseAtWork | None = None
        self._begun: _Begun | None = None
        self._is_asking = False
        self.not_kept = NotKept(shell, self.moved_on)

    @property
    def current(self) -> CaseAtWork:
        """The case at work. There is one wherever a screen of a case is open."""
        assert self.at_work is not None
        return self.at_work

    # -- putting a case on the screens -----------------------------------------------------------

    def begin(self, bike: Bike) -> None:
        """Start a case on a bike, from what is known of it; `Bike("")` is one that is not kept."""
        self._shell.start(self._begin(bike))

    async def _begin(self, bike: Bike) -> None:
        shop = self._shell.shop
        taken: tuple[Assumption, ...] = ()
        if bike.name:
            known = await self._shell.work(lambda: what_is_known(shop.rules, shop.store, bike.name))
            bike = known.bike
            if known.assumptions or known.earlier:
                accepted = await self._shell.ask(KnownScreen(shop.rules, known))
                if accepted is None:
                    return
                taken = accepted
        self.take_up(self._new_case(bike, taken))
        await self._complain()

    def _new_case(self, bike: Bike, taken: Sequence[Assumption]) -> CaseAtWork:
        case = starting_case(self._shell.shop.rules, bike, list(taken))
        assumed = [item.assumed for item in taken]
        return self.kept_case(case, bike=bike.name or None, assumed=assumed)

    def kept_case(
        self, case: Case | None = None, *, assessor: Assessor | None = None, **about: Any
    ) -> CaseAtWork:
        """A case that is kept in the store; `about` is for `CaseKeeping`, `assessor` instead of the
        one in use."""
        shop = self._shell.shop
        keeping = CaseKeeping(shop.book, case, learned=shop.taught_by > 0, **about)
        return CaseAtWork(Diagnosis(assessor or shop.assessor, keeping=keeping), keeping)

    def take_up(self, case: CaseAtWork) -> None:
        """Put a case in place of the one at work."""
        self.at_work = case

    async def look_at(self, case: CaseAtWork, *, go_on: bool = False) -> None:
        """Inside a flow: take a case up and show its card, or go on with it where it stopped."""
        self.take_up(case)
        self._shell.put(self.interview() if go_on else self._card(True))
        await self.assess()

    def interview(self) -> InterviewScreen:
        """The screen of the step."""
        return InterviewScreen(self.current, self)

    # -- moving it -------------------------------------------------------------------------------

    def record(self, *events: Event) -> None:
        """Add what was said or done, and assess the case again; a closed case stays as it is."""
        case = self.current
        if case.closed_as is not None:
            self._shell.say(
                f"This case is closed ({case.closed_as}); g on its card opens it again."
            )
            return
        self._shell.start(self._done(*events))

    async def _done(self, *events: Event) -> None:
        """Record events, and ask what work among them has set, before any other work begins."""
        self._is_asking = True
        try:
            await self._recorded(*events)
            for event in events:
                if isinstance(event, Corrected):
                    await self._ask_what_was_set(event)
        finally:
            self._is_asking = False
        self._show_next()

    def before_work(self, correction: str) -> None:
        """Ask for each reading that the work sets and that nobody took, before it is begun."""
        if not self._is_asking and self.current.to_find(correction):
            self._is_asking = True
            self._shell.start(self._ask_what_was_found(correction))

    async def _ask_what_was_found(self, correction: str) -> None:
        at_work, chosen = self.current, self.current.diagnosis.chosen
        try:
            for name in at_work.to_find(correction):
                case = at_work.case
                answer = await self._shell.ask(FoundScreen(at_work.rules, case, name))
                if at_work is not self.at_work or at_work.case != case:
                    return
                if answer is None:
                    at_work.leave_unread(name)
                    continue
                at_work.diagnosis.add(answer)
                if chosen is not None:
                    at_work.diagnosis.turn_to(chosen)
                await self.assess()
        finally:
            self._is_asking = False
        self._show_next()

    def _show_next(self) -> None:
        """Show the step anew: it may be work that asks first too, and now that it is laid out there
        may be room for more."""
        if isinstance(self._shell.top, InterviewScreen):
            self._shell.refresh_top()

    async def _ask_what_was_set(self, work: Corrected) -> None:
        """Ask for each reading that the work brings to a figure, as a reading after it."""
        at_work = self.current
        for name in figures_to_ask(at_work.rules, at_work.case, work.correction):
            case = at_work.case
            if work not in case.events or at_work.closed_as is not None:
                return
            answer = await self._shell.ask(SetScreen(at_work.rules, case, name))
            if at_work is not self.at_work or at_work.case != case:
                return
            if answer is not None:
                await self._recorded(answer)

    async def _recorded(self, *events: Event) -> None:
        self.current.diagnosis.add(*events)
        await self.assess(changes=len(events))

    def undo(self) -> None:
        """Take the latest change back, where there is one; from the first step, go back to what was
        heard."""
        begun = self._begun
        if begun is not None and begun.work is self.current and begun.after == self.current.case:
            self._shell.start(self._open(begun.before, begun.opened))
        elif self.current.diagnosis.undo():
            self._shell.start(self.assess())
        else:
            self._shell.say("Nothing to take back.")

    def turn_to(self, step: Step) -> None:
        """Take a step in place of the one advised; going back leads to that one."""
        self.current.diagnosis.turn_to(step)
        self._shell.start(self.assess(changes=0))

    def go_on(self) -> None:
        """Go on with the step advised, and offer nothing besides."""
        self.current.diagnosis.go_on()
        self._shell.start(self.assess(changes=0))

    def add_complaint(self) -> None:
        """Ask what else the rider says."""
        self._shell.start(self._complain())

    async def _complain(self) -> None:
        """Ask what happened, show what was heard and check in; then the interview, unless it is
        open."""
        await self._open(self.current.case)

    async def _open(self, before: Case, earlier: Opened | None = None) -> None:
        """Inside a flow: the first pages on the case as it was `before` them. What a story said,
        and was recorded before, is taken back once it has been gone through again."""
        work = self.current
        opened = await FirstPages(self._shell, before, earlier).run()
        if opened is None:
            return
        diagnosis = work.diagnosis
        while diagnosis.case != before and diagnosis.undo():
            pass
        traits = {**opened.traits, **diagnosis.case.machine}
        if traits != diagnosis.case.machine:
            diagnosis.set_bike(traits, diagnosis.case.targets)
        if not self._shell.shows(InterviewScreen):
            self._shell.put(self.interview())
        changes = len(opened.events) + (traits != before.machine)
        diagnosis.add(*opened.events)
        if opened.understood is not None:
            self._begun = _Begun(work, before, diagnosis.case, opened)
        await self.assess(changes=changes)

    def volunteer(self) -> None:
        """Ask for a fact, a reading or another complaint in words, and take it."""
        self._shell.start(self._volunteer())

    async def _volunteer(self) -> None:
        work = self.current
        rules = work.rules
        listener = await self._shell.work(lambda: listener_of(rules))
        current = work.current
        findings = None if current is None else current.assessment.belief.findings
        hidden = frozenset[str]() if findings is None else findings.not_applicable
        already = standing(work.case).complaints
        picked = await self._shell.ask(FactScreen(listener, hidden, already))
        if picked is None:
            return
        chosen, typed = picked
        if isinstance(chosen, Complained):
            placed = await self._at_which_end(chosen)
            if placed is not None:
                self.record(placed)
            return
        if not isinstance(chosen, str):
            self.record(*chosen)
            return
        reading = reading_in(rules, chosen, typed)
        answer = await self._shell.ask(AnswerScreen(rules, work.case, chosen, reading))
        if answer is not None:
            self.record(answer)

    async def _at_which_end(self, told: Complained) -> Event | None:
        """The complaint with its end, asked where none was said; None where nobody answers."""
        entry = self._shell.shop.rules.complaints[told.complaint]
        if told.place is not None or not entry.places:
            return told
        title = f"{entry.title}: which end?"
        return await pick_offer(
            self._shell, title, place_offers(self._shell.shop.rules, told.complaint)
        )

    def jot(self) -> None:
        """Ask for a note and add it to the case."""
        self._shell.start(self._jot())

    async def _jot(self) -> None:
        hint = "Kept with the case and shown on the job card; it is not evidence."
        text = await self._shell.ask(PromptScreen("Note", hint))
        if text:
            self.record(Noted(text))

    # -- changing what was said ------------------------------------------------------------------

    def answer_again(self, observation: str) -> None:
        """Ask an observation again; the new answer stands in place of the old one."""
        self._shell.start(self._answer_again(observation))

    async def _answer_again(self, observation: str) -> None:
        case = self.current.case
        event = await self._shell.ask(AnswerScreen(self._shell.shop.rules, case, observation))
        await self._put_in_place(case, latest_answer(case, observation), event)

    def change_event(self, index: int) -> None:
        """Change what was said at `index`, in the way its kind can be changed."""
        self._shell.start(self._change_event(index))

    async def _change_event(self, index: int) -> None:
        rules, case = self.current.rules, self.current.case
        said = case.events[index]
        event: Event | None = None
        match said:
            case Answered(observation=observation):
                event = await self._shell.ask(AnswerScreen(rules, case, observation))
            case Rode(about=about):
                said_now = ride_offers(case)
                picked = await pick_offer(self._shell, "How did the ride go?", said_now)
                event = Rode(picked.report, about) if isinstance(picked, Rode) else None
            case Noted(text=before):
                prompt = PromptScreen("Change the note", value=before, replace=False)
                text = await self._shell.ask(prompt)
                event = Noted(text) if text else None
            case Complained(complaint=name) if rules.complaints[name].places:
                event = await self._at_which_end(Complained(name))
            case _:
                self._shell.say("That can only be struck out (z).")
        await self._put_in_place(case, index, event)

    async def _put_in_place(self, asked: Case, index: int | None, event: Event | None) -> None:
        """Record `event` where `index` was, unless the case has been moved on since `asked`."""
        if event is None:
            return
        diagnosis = self.current.diagnosis
        if index is None:
            diagnosis.add(event)
        elif diagnosis.case.events[index : index + 1] == asked.events[index : index + 1]:
            diagnosis.change(index, event)
        else:
            self._shell.say("The case was moved on meanwhile; look at it again.", "warning")
            return
        await self.assess()

    def strike_event(self, index: int) -> None:
        """Strike out what was said at `index`."""
        self.current.diagnosis.strike(index)
        self._shell.start(self.assess())

    # -- assessing and keeping -------------------------------------------------------------------

    async def assess(self, changes: int = 1) -> None:
        """Inside a flow: assess the case, keep it, and show it.

        The latest `changes` are taken back where the rule base cannot assess it.
        """
        case = self.current
        try:
            assessed = await self._shell.work(case.diagnosis.assess)
        except BadInput as error:
            for _ in range(changes):
                case.diagnosis.undo()
            self._shell.say(f"{error}. It was not kept.", "error", 10)
            self._shell.refresh_top()
            return
        problem = ""
        try:
            await self._shell.work(case.diagnosis.commit)
        except MovedOn as news:
            await self.moved_on(case, news)
            return
        except BadInput as error:
            problem = str(error)
        if case is self.at_work and assessed.case == case.case:
            case.current = assessed
        is_news = self.not_kept.note(case, problem)
        self._shell.refresh_top()
        if is_news:
            await self.not_kept.tell(problem)
        await self._warn(case)

    async def _warn(self, case: CaseAtWork) -> None:
        reasons = case.unread_warnings() if case is self.at_work else ()
        if reasons:
            await self._shell.ask(WarningScreen(reasons, self._shell.drop_typed_keys()))
            case.acknowledge()

    async def moved_on(self, case: CaseAtWork, news: MovedOn) -> None:
        """Inside a flow: show what another terminal has made of the case; what was said here can
        be added to it."""
        assert case.kept is not None
        self.not_kept.forget(case)
        said = [f"There: {event_text(case.rules, event)}" for event in news.theirs[:_MOST_TOLD]]
        if case.closed_as is not None:
            said.append(f"There: closed as {case.closed_as}")
        elif not said:
            said.append("There something was taken back or changed.")
        said += [
            f"Not added: your {event_text(case.rules, event)}" for event in news.lost[:_MOST_TOLD]
        ]
        dropped = self._shell.drop_typed_keys()
        if dropped:
            said.append(f"Keys typed before this came up were not used: {dropped}.")
        choices = [("1", "on", "Go on from how it stands now")]
        if news.lost and case.closed_as is None:
            choices.append(("2", "add", "Add what I said to it"))
        if case is self.at_work:
            case.current = await self._shell.work(case.diagnosis.assess)
            self._shell.refresh_top()
        title = f"Case {case.kept.id} was moved on at another terminal"
        choice = await self._shell.ask(PickScreen(title, choices, said))
        if case is not self.at_work:
            return
        if choice == "add":
            await self._recorded(*news.lost)
        elif case.closed_as is not None:
            self.show_card()

    async def rewrite(self, change: Callable[[KeptCase], KeptCase]) -> KeptCase | None:
        """Inside a flow: close the case or open it again. None where another terminal was first.

        Raises `StoreProblem`.
        """
        case = self.current
        assert case.keeping is not None
        keeping = case.keeping
        try:
            return await self._shell.work(lambda: keeping.rewrite(change))
        except MovedOn as news:
            case.diagnosis.stand_as_kept()
            await self.moved_on(case, news)
            return None

    def follow_rename(self, old: str, new: str) -> None:
        """A bike has another name: the case at work stays with it."""
        if self.at_work is not None and self.at_work.keeping is not None:
            self.at_work.keeping.follow_rename(old, new)

    # -- looking ---------------------------------------------------------------------------------

    def show(self, what: str, step: Step | None = None) -> None:
        """Show a screen beside the step: `sheet`, `why`, `causes`, `plan`, `earlier` or `card`.
        `why` is about `step`, by default the one advised.

        It replaces another side screen, so that Escape always leads back to the step or sheet.
        """
        case = self.current
        made: dict[str, Callable[[], CaseScreen]] = {
            "sheet": lambda: SheetScreen(case, self),
            "why": lambda: WhyScreen(case, self, step),
            "causes": lambda: CausesScreen(case, self),
            "plan": lambda: PlanScreen(case, self),
            "earlier": lambda: EarlierScreen(case, self),
            "card": lambda: self._card(False),
        }
        screen = made[what]()
        if isinstance(self._shell.top, SideScreen):
            self._shell.swap(screen)
        else:
            self._shell.put(screen)

    def show_card(self) -> None:
        """Show the card of the case, with nothing but the start behind it."""
        self._shell.back_to_start()
        self._shell.put(self._card(True))

    def leave(self) -> None:
        """Leave a step that was taken in place of the one advised, else the case for the start
        screen; it stays kept."""
        if self.current.diagnosis.turn_back():
            self._shell.start(self.assess(changes=0))
        else:
            self._shell.back_to_start()

    async def told(self) -> Told:
        """What each thing said so far did to the causes."""
        return await asyncio.to_thread(self.current.diagnosis.told)

    async def foresee(self, current: Assessed) -> Foreseen:
        """What every open answer would do to the causes."""
        diagnosis = self.current.diagnosis
        return await asyncio.to_thread(diagnosis.foresee, current.assessment)

    @property
    def has_complaint(self) -> bool:
        """Whether there is a case that has begun."""
        return self.at_work is not None and bool(standing(self.at_work.case).complaints)
