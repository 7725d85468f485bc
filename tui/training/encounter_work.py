"""From a move that was chosen to what came of it: cautions, the coach's questions, the step."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.records.store.problems import StoreProblem
from diagnose.training.customers.guide import GRADES
from diagnose.training.play.coach import Guess, GuessScore
from diagnose.training.play.encounter import Taken
from diagnose.training.play.hints import Hint
from diagnose.training.play.moves import HandOver, Move, Observe, Recheck
from diagnose.training.words.encounter_words import came_line, coach_lines, results_of
from diagnose.words.steps import caution_texts
from tui.dialogs.pick import PickScreen, numbered
from tui.dialogs.read import ReadScreen
from tui.training.coach_screen import CoachScreen
from tui.training.move_screen import MoveScreen

if TYPE_CHECKING:
    from tui.training.encounter_screen import EncounterScreen

_CANNOT_SAY = "cannot-say"


class EncounterWork:
    """Takes the steps of the screen's encounter; each is kept before anything else is shown."""

    def __init__(self, screen: EncounterScreen) -> None:
        self._screen = screen
        self._encounter = screen.encounter
        self._app = screen.card_app
        self._named: tuple[str, ...] = ()

    def begin(self, move: Move, *, is_settled: bool = False) -> None:
        """A move was chosen: what stands before it, then the move itself."""
        if isinstance(move, HandOver) and not is_settled:
            self._screen.begin_hand_over()
            return
        encounter = self._encounter
        self._app.in_background(
            lambda: caution_texts(encounter.workshop.rules, encounter.cautions(move)),
            lambda cautions: self._before(move, cautions),
        )

    def _before(self, move: Move, cautions: tuple[str, ...]) -> None:
        """Only asking and looking without any danger go ahead on one key."""
        if isinstance(move, Observe | Recheck) and not cautions:
            self._ask_guess(move, is_read=False)
            return

        def decided(read: bool | None) -> None:
            if read is not None:
                self._ask_guess(move, is_read=read)

        self._app.push_screen(MoveScreen(self._encounter, move, cautions), decided)

    # -- coach -----------------------------------------------------------------------------------

    def _ask_guess(self, move: Move, *, is_read: bool) -> None:
        if not self._screen.coach:
            self._take(move, None, is_read=is_read)
            return

        def named(causes: tuple[str, ...] | None) -> None:
            if causes:
                self._named = causes
                self._ask_result(move, causes, is_read=is_read)
            elif causes is not None:
                self._take(move, None, is_read=is_read)

        self._app.push_screen(CoachScreen(self._encounter, move, self._named), named)

    def _ask_result(self, move: Move, causes: tuple[str, ...], *, is_read: bool) -> None:
        results = results_of(self._encounter, move)
        if not results:
            self._take(move, Guess(causes, move=move), is_read=is_read)
            return

        def expected(state: str | None) -> None:
            if state is not None:
                expects = None if state == _CANNOT_SAY else state
                self._take(move, Guess(causes, move=move, expects=expects), is_read=is_read)

        choices = numbered([*results, (_CANNOT_SAY, "I cannot say")])
        self._app.push_screen(PickScreen("What do you expect to find?", choices), expected)

    # -- the step --------------------------------------------------------------------------------

    def _take(self, move: Move, guess: Guess | None, *, is_read: bool) -> None:
        encounter = self._encounter
        stood = {item.rule for item in encounter.view().belief.findings.contradictions}
        was_safe = not encounter.view().belief.findings.do_not_ride

        def take() -> tuple[Taken, GuessScore | None, str]:
            scored = encounter.guess(guess) if guess is not None else None
            if is_read:
                encounter.read_cautions(move)
            problem = ""
            try:
                encounter.take(move)
            except StoreProblem as error:
                problem = str(error)
            if not encounter.finished:
                encounter.view()
            return encounter.steps[-1], scored, problem

        def taken(found: tuple[Taken, GuessScore | None, str]) -> None:
            self._came(*found, stood=stood, was_safe=was_safe)

        self._app.in_background(take, taken)

    def _came(
        self,
        taken: Taken,
        scored: GuessScore | None,
        problem: str,
        *,
        stood: set[str],
        was_safe: bool,
    ) -> None:
        encounter, screen = self._encounter, self._screen
        if not encounter.finished:
            last = came_line(encounter.workshop.rules, taken)
            unsafe = encounter.view().belief.findings.do_not_ride
            if screen.coach and unsafe and was_safe:
                last += " Think of safety before this bike moves."
            screen.show_step(last, problem)
        if not screen.coach:
            self._after(stood)
            return
        lines = list(coach_lines(encounter, scored, taken))
        self._app.push_screen(ReadScreen("Coach", lines), lambda _: self._after(stood))

    def _after(self, stood: set[str]) -> None:
        """End where the case has ended; offer to look again where answers do not fit."""
        if self._encounter.finished:
            self._screen.dismiss(True)
            return
        found = self._encounter.view().belief.findings.contradictions
        fresh = [item for item in found if item.rule not in stood]
        if not fresh:
            return

        def decided(choice: str | None) -> None:
            if choice == "again":
                self.begin(Recheck(fresh[0].rule))

        choices = (("k", "again", "Check both again"), ("g", "on", "Go on"))
        screen = PickScreen("Two answers do not fit", choices, [fresh[0].text])
        self._app.push_screen(screen, decided)

    # -- hints -----------------------------------------------------------------------------------

    def offer_hint(self) -> None:
        """Say what the next hint gives away and costs; give it where it is wanted."""
        encounter = self._encounter
        given = len(encounter.hints)
        if given >= len(GRADES):
            self._screen.notify("That was the last hint for this step.")
            return
        what = ("where to think", "what kind of step", "the step itself")[given]
        points = encounter.guide.scoring.hints[GRADES[given]]
        text = [hint.text for hint in encounter.hints]

        def decided(choice: str | None) -> None:
            if choice == "take":
                self._app.in_background(encounter.hint, self._hinted)

        choices = (("y", "take", f"Take it: {points:g} points off"), ("n", "leave", "No"))
        screen = PickScreen(f"A hint: {what}?", choices, text)
        self._app.push_screen(screen, decided)

    def _hinted(self, hint: Hint) -> None:
        self._screen.say_last(f"Hint ({hint.points:g} points off): {hint.text}")
