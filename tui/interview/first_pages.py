"""The first pages of a case: what happened, what was heard, the check-in."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diagnose.advice.check_in import check_in
from diagnose.case.events import Asking, Case, Complained, Event, brought_by, standing
from diagnose.listening.listen import listener_of
from diagnose.listening.understood import Understood, understand
from tui.interview.check_in_screen import CheckInScreen
from tui.interview.complaint_screen import ComplaintScreen
from tui.interview.heard_screen import HeardScreen
from tui.interview.story_screen import StoryScreen
from tui.plain.ticks import Ticks
from tui.services.shell import Shell


@dataclass(frozen=True, slots=True)
class Opened:
    """What the first pages came to: events, traits that were heard, and the story gone through."""

    events: tuple[Event, ...]
    traits: dict[str, str]
    understood: Understood | None
    ticks: Ticks | None


class FirstPages:
    """Leads through the pages of a case that begins, or has another complaint; Escape goes back."""

    def __init__(self, shell: Shell, case: Case, before: Opened | None = None) -> None:
        """`before` is what they came to before: the pages begin with its story, and its ticks
        stand."""
        self._shell, self._case = shell, case
        self._rules = shell.shop.rules
        self._understood = before.understood if before else None
        self._ticks = before.ticks if before else None
        self._picked: tuple[Complained, ...] = ()
        self._checked: tuple[Event, ...] = ()

    async def run(self) -> Opened | None:
        """Show the pages. None where the person goes back from the first."""
        pages = {
            "story": self._story,
            "heard": self._heard,
            "list": self._list,
            "check-in": self._check_in,
        }
        page = "heard" if self._understood else "story"
        while page in pages:
            page = await pages[page]()
        if page != "done":
            return None
        events = (*self._said, *self._checked)
        return Opened(events, self._traits, self._understood, self._ticks)

    @property
    def _said(self) -> tuple[Event, ...]:
        told = self._understood.events if self._understood else ()
        now, person = standing(self._case), self._shell.shop.person
        asks = (Asking(person),) if person and person != now.person else ()
        return (*asks, *(e for e in (*told, *self._picked) if e not in now.complaints))

    @property
    def _traits(self) -> dict[str, str]:
        return self._understood.traits if self._understood else {}

    async def _story(self) -> str:
        before = self._understood.story.text if self._understood else ""
        text = await self._shell.ask(StoryScreen(before))
        if text is None:
            return "left"
        self._picked = ()
        if not text:
            self._understood = None
            return "list"
        if self._understood is None or text != before:
            rules = self._rules
            self._understood = await self._shell.work(lambda: understand(listener_of(rules), text))
        return "heard"

    async def _heard(self) -> str:
        assert self._understood is not None
        stands = await self._shell.ask(HeardScreen(self._understood))
        if stands is None:
            return "story"
        self._understood, self._picked = stands, ()
        return "check-in" if stands.has_complaint else "list"

    async def _list(self) -> str:
        already = (*standing(self._case).complaints, *standing(Case(events=self._said)).complaints)
        picked = await self._shell.ask(ComplaintScreen(self._rules, already))
        if picked is None:
            return "heard" if self._understood else "story"
        self._picked = picked
        return "check-in"

    async def _check_in(self) -> str:
        case = replace(
            self._case,
            machine={**self._traits, **self._case.machine},
            events=(*self._case.events, *self._said),
        )
        assessor = self._shell.shop.assessor
        page = await self._shell.work(lambda: check_in(assessor, case))
        self._checked = ()
        if page.is_empty:
            return "done"
        ticks = Ticks(page, standing(case).answers)
        if self._ticks is not None:
            ticks.take_over(self._ticks)
        self._ticks = ticks
        checked = await self._shell.ask(CheckInScreen(self._rules, case, ticks))
        if checked is None:
            return "list" if self._picked else "heard"
        known = (*standing(case).answers.values(), *checked)
        self._checked = (*checked, *brought_by(self._rules, known))
        return "done"
