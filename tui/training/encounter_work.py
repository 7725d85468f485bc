"""Leads a training case on its screen: cautions, the coach's questions, the step, its result."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.records.store.store_problems import StoreProblem
from diagnose.training.customers.guide import GRADES
from diagnose.training.play.coach import Guess, GuessScore
from diagnose.training.play.encounter import Encounter, Taken
from diagnose.training.play.moves import Correct, HandOver, Move, Observe, Recheck
from diagnose.training.words.encounter_words import (
    came_line,
    coach_lines,
    results_of,
    shown_lines,
    work_elsewhere,
)
from diagnose.words.step_words import caution_texts
from tui.dialogs.find_screen import FindScreen
from tui.dialogs.pick_screen import PickScreen, numbered
from tui.dialogs.read_screen import ReadScreen
from tui.services.shell import Shell
from tui.training.screens.coach_screen import CoachScreen
from tui.training.screens.encounter_screen import EncounterScreen
from tui.training.screens.move_screen import MoveScreen
from tui.training.words.move_rows import cause_rows
from tui.widgets.search_list import SearchRow

_CANNOT_SAY = "cannot-say"
_NOTHING = "nothing"
_KEPT = "It is kept as it stands. The course lists it as left open: Enter there goes on with it."


@dataclass(frozen=True, slots=True)
class _Ready:
    """A move that the trainee is ready to make."""

    move: Move
    is_read: bool
    guess: Guess | None


class EncounterWork:
    """Takes the steps of an encounter; each is kept before the next screen is shown."""

    def __init__(
        self,
        shell: Shell,
        encounter: Encounter,
        title: str,
        *,
        coach: bool = False,
        before_leaving: str = "",
    ) -> None:
        """`coach` asks before each step what is likely, and shows the program's view after it.
        What leaving costs is said, and asked about, `before_leaving`."""
        self._shell, self._encounter, self._coach = shell, encounter, coach
        self._screen = EncounterScreen(encounter, title, self, coach=coach)
        self._before_leaving = before_leaving
        self._named: tuple[str, ...] = ()
        self._is_at_step = False
        self._is_kept = True

    async def play(self) -> bool:
        """Inside a flow: show the case until it has ended (True) or is left open."""
        steps = self._encounter.steps
        if steps and all(step.shown for step in steps):
            shown = list(shown_lines(self._encounter))
            await self._shell.ask(ReadScreen("Before you go on", shown))
        ended = await self._shell.ask(self._screen)
        return bool(ended)

    def leave(self) -> None:
        """Leave the case open, asking first where that costs something or work was begun."""
        own = any(not step.shown for step in self._encounter.steps)
        # of what is not kept whoever leaves is asked in another way
        text = self._before_leaving or (_KEPT if own and self._is_kept else "")
        if text:
            self._shell.start(self._ask_to_leave(text))
        else:
            self._screen.dismiss(None)

    async def _ask_to_leave(self, text: str) -> None:
        choices = (("y", "leave", "Leave it"), ("n", "stay", "Stay"))
        screen = PickScreen("Leave this case?", choices, [text])
        if await self._shell.ask(screen) == "leave":
            self._screen.dismiss(None)

    # -- a step ----------------------------------------------------------------------------------

    def begin(self, move: Move) -> None:
        """Make a move, after what stands before it; dropped while another step is being made."""
        if not self._is_at_step:
            self._is_at_step = True
            self._shell.start(self._begin(move))

    async def _begin(self, move: Move) -> None:
        """Make a move, and those that the trainee wants at once because of what came of it."""
        following: Move | None = move
        try:
            if isinstance(move, HandOver):
                following = await self._ask_suspected()
                if isinstance(following, HandOver):
                    following = await self._ask_which(following)
            while following is not None:
                ready = await self._before(following)
                following = await self._take(ready) if ready is not None else None
        finally:
            self._is_at_step = False

    async def _ask_suspected(self) -> HandOver | None:
        rows = [SearchRow(_NOTHING, "  I cannot say"), *cause_rows(self._encounter)]
        screen = FindScreen("It is handed over undiagnosed and the case ends. Suspected?", rows)
        cause = await self._shell.ask(screen)
        if cause is None:
            return None
        return HandOver(() if cause == _NOTHING else (cause,))

    async def _ask_which(self, move: HandOver) -> Move | None:
        """Where a specialist does the work for what is suspected, ask whether that is meant: it is
        a correction like any other."""
        work = work_elsewhere(self._encounter, move)
        if not work:
            return move
        choices = (
            ("1", "correct", f"Have it done: {work}"),
            ("2", "over", "Hand the bike over undiagnosed; the case ends"),
        )
        picked = await self._shell.ask(PickScreen("Which do you mean?", choices))
        if picked == "correct":
            cause = move.causes[0]
            return Correct(self._encounter.assessor.rules.causes[cause].correction, (cause,))
        return move if picked == "over" else None

    async def _before(self, move: Move) -> _Ready | None:
        """Ask what stands before a move; None where it is left undone.

        Only asking and looking without any danger go ahead on one key.
        """
        encounter, is_read = self._encounter, False
        rules = encounter.assessor.rules
        cautions = await self._shell.work(lambda: caution_texts(rules, encounter.cautions(move)))
        if cautions or not isinstance(move, Observe | Recheck):
            decided = await self._shell.ask(MoveScreen(encounter, move, cautions))
            if decided is None:
                return None
            is_read = decided
        causes: tuple[str, ...] | None = ()
        if self._coach:
            causes = await self._shell.ask(CoachScreen(encounter, move, self._named))
        if causes is None:
            return None
        if not causes:
            return _Ready(move, is_read, None)
        self._named = causes
        expects = None
        results = results_of(encounter, move)
        if results:
            choices = numbered([*results, (_CANNOT_SAY, "I cannot say")])
            state = await self._shell.ask(PickScreen("What do you expect to find?", choices))
            if state is None:
                return None
            expects = None if state == _CANNOT_SAY else state
        return _Ready(move, is_read, Guess(causes, move=move, expects=expects))

    async def _take(self, ready: _Ready) -> Move | None:
        """Make a move and show what came of it; the move that the trainee wants to follow it."""
        encounter, screen = self._encounter, self._screen
        before, safe_before = encounter.view().belief.findings, not encounter.view().advice.bans
        taken, scored, problem = await self._shell.work(lambda: self._taken(ready))
        self._is_kept = not problem
        if not encounter.finished:
            last = came_line(encounter.assessor.rules, taken)
            if self._coach and safe_before and encounter.view().advice.bans:
                last += " Think of safety before this bike moves."
            screen.show_step(last, problem)
        if isinstance(taken.move, Correct):
            self._named = ()  # what it was meant for has been put right
        if self._coach or encounter.feedback:
            lines = list(coach_lines(encounter, scored, taken))
            await self._shell.ask(ReadScreen("Coach", lines))
        if encounter.finished:
            screen.dismiss(True)
            return None
        return await self._ask_to_look_again({item.rule for item in before.contradictions})

    def _taken(self, ready: _Ready) -> tuple[Taken, GuessScore | None, str]:
        """The step as taken, how good the guess was, and why the step is not kept."""
        encounter = self._encounter
        scored = encounter.guess(ready.guess) if ready.guess is not None else None
        if ready.is_read:
            encounter.read_cautions(ready.move)
        problem = ""
        try:
            encounter.take(ready.move)
        except StoreProblem as error:
            problem = str(error)
        if not encounter.finished:
            encounter.view()
        return encounter.steps[-1], scored, problem

    async def _ask_to_look_again(self, stood: set[str]) -> Recheck | None:
        """Where answers do not fit that did so far, offer to check them again."""
        found = self._encounter.view().belief.findings.contradictions
        fresh = next((item for item in found if item.rule not in stood), None)
        if fresh is None:
            return None
        choices = (("k", "again", "Check both again"), ("g", "on", "Go on"))
        screen = PickScreen("Two answers do not fit", choices, [fresh.text])
        return Recheck(fresh.rule) if await self._shell.ask(screen) == "again" else None

    # -- hints -----------------------------------------------------------------------------------

    def offer_hint(self) -> None:
        """Say what the next hint gives away and costs, and give it where it is wanted."""
        if len(self._encounter.hints) >= len(GRADES):
            self._shell.say("That was the last hint for this step.")
        else:
            self._shell.start(self._offer_hint())

    async def _offer_hint(self) -> None:
        encounter = self._encounter
        given = len(encounter.hints)
        what = ("where to think", "what kind of step", "the step itself")[given]
        points = encounter.guide.scoring.hints[GRADES[given]]
        text = [hint.text for hint in encounter.hints]
        choices = (("y", "take", f"Take it: {points:g} points off"), ("n", "leave", "No"))
        if await self._shell.ask(PickScreen(f"A hint: {what}?", choices, text)) == "take":
            hint = await self._shell.work(encounter.hint)
            self._screen.say_last(f"Hint ({hint.points:g} points off): {hint.text}")
