"""A training case line by line: the trainee chooses every step, and none can be taken back."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Mapping, Sequence

from diagnose.case.events import RIDE_REPORTS
from diagnose.training.play.coach import MOST_NAMED, Guess
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import (
    Correct,
    HandBack,
    HandOver,
    Move,
    Observe,
    Recheck,
    RideMove,
)
from diagnose.training.scoring.points import score
from diagnose.training.scoring.review import result_text
from diagnose.training.words.encounter_words import (
    coach_lines,
    move_words,
    now_lines,
    shown_lines,
    work_elsewhere,
)
from diagnose.words.step_words import caution_texts, observation_text
from rules.problems import BadInput
from tui.terminal.text import wrapped
from tui.training.plain.encounter_lines import (
    customer_lines,
    expected_line,
    guess_lines,
    meaning_lines,
    notes_lines,
    review_lines,
    score_lines,
)
from tui.training.plain.plain_pick import Picker

Read = Callable[[str], str]
Write = Callable[[str], None]

_KINDS = {
    "1": ("history", "What changed: its history"),
    "2": ("question", "Ask the rider"),
    "3": ("inspection", "Look and feel on the bench"),
    "4": ("measurement", "Measure"),
    "5": ("ride-test", "Ride and feel"),
}
_HELP = (
    "Every step is yours. Type words for what you want to ask or check, such as 'tyre pressure',",
    "and pick from what is found; or use a key:",
    "  1 to 5  lists of what can be asked and checked",
    "  c  name a cause and put it right       r  send for a ride",
    "  o  hand it over undiagnosed            b  give the bike back as finished",
    "  h  a hint; it costs points             n  notes: all that is known",
    "  ?  this help                           q  leave; the same case goes on later",
    "Nothing can be taken back. Before a hazardous step you are offered its cautions.",
)


class _Leave(Exception):
    """The trainee wants to stop here."""


def play(
    encounter: Encounter,
    read: Read,
    write: Write,
    coach: bool = False,
    show_score: bool = True,
    after: Callable[[Encounter], None] = lambda encounter: None,
    before_leaving: str = "",
) -> None:
    """Play a case to its end, or until the trainee leaves (`q` or the end of input). What leaving
    costs is said, and asked about, `before_leaving`.

    `after` is called after every step. The score, the truth and the review are shown at the end
    unless `show_score` is off. `KeyboardInterrupt` is left to the caller.
    """
    table = _Play(encounter, read, write, coach, after, before_leaving)
    with contextlib.suppress(_Leave, EOFError):
        table.run()
    if encounter.finished and show_score:
        table.sum_up()
    elif encounter.finished:
        write("The case has ended.")


class _Play:
    def __init__(
        self,
        encounter: Encounter,
        read: Read,
        write: Write,
        coach: bool,
        after: Callable[[Encounter], None],
        before_leaving: str,
    ) -> None:
        self._encounter = encounter
        self._rules = encounter.assessor.rules
        self._read = read
        self._write = write
        self._coach = coach
        self._after = after
        self._before_leaving = before_leaving
        self._picker = Picker(encounter, self._line, write)

    def run(self) -> None:
        self._lines(customer_lines(self._encounter))
        steps = self._encounter.steps
        if steps and all(step.shown for step in steps):
            for line in shown_lines(self._encounter):
                self._say(line)
        elif steps:
            self._write("Where you left it:")
            self._lines(notes_lines(self._encounter))
        self._write("")
        self._write("Type words for what to ask or check, or a key; ? shows the keys.")
        while not self._encounter.finished:
            try:
                self._turn()
            except BadInput as error:
                self._say(str(error))

    def sum_up(self) -> None:
        """Show the score; then the review and what the measures mean, where that is asked for."""
        encounter = self._encounter
        self._write("")
        self._lines(score_lines(encounter.guide, score(encounter), self._rules))
        if encounter.scenario.teaches:
            self._say(f"What it teaches: {encounter.scenario.teaches}")
        keys = "r the case step by step, m what the measures mean, Enter the end"
        while True:
            try:
                text = self._read(f"{keys}> ").strip().lower()
            except EOFError:
                return
            if text == "r":
                if encounter.scenario.story:
                    self._say(encounter.scenario.story)
                self._lines(review_lines(encounter))
            elif text == "m":
                self._lines(meaning_lines(encounter.guide, score(encounter)))
                self._say(expected_line(encounter))
            elif text in ("", "q"):
                return

    def _turn(self) -> None:
        text = self._line("do> ")
        keys: Mapping[str, Callable[[], None]] = {
            "c": self._correct,
            "r": lambda: self._make(RideMove()),
            "o": self._hand_over,
            "b": self._hand_back,
            "h": self._hint,
            "n": lambda: self._lines(notes_lines(self._encounter)),
            "?": lambda: self._lines(_HELP),
        }
        if text in keys:
            keys[text]()
        elif text in _KINDS:
            self._list(*_KINDS[text])
        elif len(text) > 1:
            self._observe(self._picker.by_words(text))
        elif text:
            self._say(f"{text!r} is no key here; ? shows the keys.")

    # -- choosing --------------------------------------------------------------------------------

    def _observe(self, name: str | None) -> None:
        if name is not None:
            self._make(Observe(name))

    def _list(self, kind: str, heading: str) -> None:
        self._write(f"{heading}:")
        self._observe(self._picker.of_kind(kind))

    def _correct(self) -> None:
        cause = self._picker.cause("What is wrong with it? Words for the cause, Enter leaves it> ")
        if cause is not None:
            self._make(Correct(self._rules.causes[cause].correction, (cause,)))

    def _hand_over(self) -> None:
        cause = self._picker.cause("What do you suspect? Words, or Enter for nothing> ")
        move = HandOver((cause,) if cause is not None else ())
        work = work_elsewhere(self._encounter, move)
        if work:
            self._say(f"A specialist's work is a correction like any other: {work}. c names it.")
        words = move_words(self._encounter, move)
        if self._ends(f"{words.heading}. The case ends with this."):
            self._make(move)

    def _hand_back(self) -> None:
        words = move_words(self._encounter, HandBack())
        if self._ends(f"{words.heading}. {words.note}"):
            self._make(HandBack())

    def _ends(self, what: str) -> bool:
        self._say(what)
        return self._line("y do it, Enter leaves it> ") == "y"

    def _hint(self) -> None:
        hint = self._encounter.hint()
        self._say(f"Hint (takes off {hint.points:g}): {hint.text}")

    # -- a step ----------------------------------------------------------------------------------

    def _make(self, move: Move) -> None:
        """Show what a move is, its cautions on demand, and make it."""
        cautions = self._encounter.cautions(move)
        self._show(move)
        if cautions and not self._heeded(move, caution_texts(self._rules, cautions)):
            return
        if self._coach:
            self._guess(move)
        before = self._encounter.view()
        stands = {item.rule for item in before.belief.findings.contradictions}
        taken = self._encounter.take(move)
        self._after(self._encounter)
        result = result_text(self._rules, taken)
        if result:
            self._say(f"-> {result}")
        if self._encounter.feedback and not self._coach:
            for line in list(coach_lines(self._encounter, None, taken))[2:]:
                self._say(line)
        elif self._coach and not self._encounter.finished:
            for line in now_lines(self._encounter):
                self._say(line)
        if self._encounter.failed:
            return
        if not self._encounter.finished:
            self._tell_news(before.advice.bans, stands)

    def _show(self, move: Move) -> None:
        if isinstance(move, Observe):
            words = observation_text(self._rules, self._encounter.case, move.observation)
            self._say(words.heading)
            if words.note:
                self._say(f"  {words.note}")
        elif isinstance(move, Correct):
            entry = self._rules.corrections[move.correction]
            self._say(f"{entry.title}: {entry.minutes:g} minutes, {entry.who}.")

    def _heeded(self, move: Move, texts: Sequence[str]) -> bool:
        """Whether to go on; cautions are read where the trainee asks for them."""
        while True:
            text = self._line("Cautions: r read them, d do it now, Enter leaves it> ")
            if text == "r":
                for caution in texts:
                    self._lines(wrapped(caution, "    ", "  CAUTION: "))
                self._encounter.read_cautions(move)
            elif text == "d":
                return True
            elif not text:
                return False
            else:
                self._say("r, d or Enter.")

    def _tell_news(self, unsafe_before: Sequence[object], stood: set[str]) -> None:
        view = self._encounter.view()
        findings = view.belief.findings
        if self._coach and view.advice.bans and not unsafe_before:
            # without coach it is for the trainee to see it from what was found
            self._say("Think of safety before this bike moves.")
        for item in findings.contradictions:
            if item.rule not in stood:
                self._say(f"Two answers do not fit: {item.text}")
                if self._line("k check both again, Enter goes on> ") == "k":
                    self._encounter.take(Recheck(item.rule))
                    self._after(self._encounter)
                    self._say("Both were checked again, and stand.")

    def _guess(self, move: Move) -> None:
        causes: list[str] = []
        while len(causes) < MOST_NAMED:
            which = "Likeliest cause" if not causes else "Another"
            cause = self._picker.cause(f"{which}? Words, Enter goes on> ")
            if cause is None:
                break
            if cause not in causes:
                causes.append(cause)
        if not causes:
            return
        guess = Guess(tuple(causes), move=move, expects=self._expected(move))
        self._lines(guess_lines(self._rules, self._encounter.guess(guess)))

    def _expected(self, move: Move) -> str | None:
        """The result the trainee expects of a move, where it has results to choose from."""
        if isinstance(move, Observe) and move.observation in self._rules.nodes:
            options = dict(self._rules.observations[move.observation].states)
        elif isinstance(move, RideMove) and self._encounter.view().now.ride_due:
            options = {report: report.capitalize() for report in RIDE_REPORTS}
        else:
            return None
        self._write("What do you expect to find?")
        return self._picker.one(options)

    # -- reading and writing ---------------------------------------------------------------------

    def _line(self, prompt: str) -> str:
        while (text := self._read(prompt).strip()).lower() in ("q", "quit"):
            if not self._before_leaving:
                raise _Leave
            self._say(self._before_leaving)
            if self._read("y leave it, Enter stays> ").strip().lower() == "y":
                raise _Leave
        return text.lower() if len(text) == 1 else text

    def _say(self, text: str) -> None:
        self._lines(wrapped(text))

    def _lines(self, lines: Iterable[str]) -> None:
        for line in lines:
            self._write(line)
