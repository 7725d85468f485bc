"""The interview line by line: over ssh, in a dumb terminal, with a screen reader."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from diagnose.case import (
    CANNOT_HERE,
    DONT_KNOW,
    RIDE_REPORTS,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Rode,
    read_answer,
    standing,
)
from diagnose.interview import Interview
from diagnose.planning import Step
from diagnose.records.problems import StoreProblem
from diagnose.search import find_complaints
from diagnose.wording import answer_text, choices, observation_text, step_text
from rules.problems import BadInput
from rules.quantities import units_like
from tui.lines import machine_line, standing_line, step_lines, summary_lines, why_lines
from tui.text import wrapped

Read = Callable[[str], str]
Write = Callable[[str], None]

_OBSERVING = ("ask", "measure", "inspect", "ride-test")
_VERBS = {
    "ask": "Ask",
    "measure": "Measure",
    "inspect": "Look",
    "ride-test": "Ride and feel",
    "correct": "Put right",
    "confirm": "Ride to prove it",
    "check-again": "Check again",
}


class _Stop(Exception):
    """The person wants to end here."""


@dataclass(frozen=True, slots=True)
class _Choice:
    """A key, what it is called, and the event it stands for."""

    key: str
    label: str
    event: Event


class PlainInterview:
    """Runs an interview by reading and writing lines."""

    def __init__(self, interview: Interview, read: Read, write: Write) -> None:
        self._interview = interview
        self._rules = interview.rules
        self._read = read
        self._write = write

    def run(self) -> None:
        """Ask until there is nothing left to ask or the person stops; then sum up.

        End of input counts as stopping. `KeyboardInterrupt` is left to the caller.
        """
        self._say(
            f"{self._rules.info.title}. One key and Enter answers; "
            "? don't know, b back, w why, m machine, s stop and sum up."
        )
        self._say(f"Machine: {machine_line(self._rules, self._interview.case)}.")
        try:
            while self._turn_or_trouble():
                pass
        except (_Stop, EOFError):
            pass
        self._write("")
        self._lines(summary_lines(self._rules, self._interview.case, self._interview.assessment))

    def _turn_or_trouble(self) -> bool:
        """One step; where it could not be recorded, that is said and the case stands as it was."""
        try:
            return self._turn()
        except StoreProblem as problem:
            self._say(f"NOT RECORDED: {problem}")
            return True

    def _turn(self) -> bool:
        """One step. False at the end."""
        step = self._interview.assessment.step
        if step.kind == "complain":
            self._complain()
            return True
        if step.kind in ("close", "hand-over"):
            self._write("")
            self._lines(step_lines(step_text(self._rules, self._interview.case, step)))
            return False
        self._write("")
        minutes = "under a minute" if step.minutes < 1 else f"about {step.minutes:g} min"
        rank = f"{step.constraint}, " if step.constraint else ""
        self._write(f"{_VERBS[step.kind]} ({rank}{minutes}):")
        if step.kind in _OBSERVING:
            self._observe(step)
        elif step.kind == "check-again":
            self._check_again(step)
        else:
            self._act(step)
        if self._interview.assessment.step.kind != "complain":
            self._say(standing_line(self._rules, self._interview.assessment))
        return True

    # -- steps -----------------------------------------------------------------------------------

    def _complain(self) -> None:
        titles = {key: entry.title for key, entry in self._rules.complaints.items()}
        self._write("")
        self._write("What does the rider complain of? Their own word, or Enter for the list.")
        text = self._line("complaint> ")
        if text is None:
            return
        found = list(titles) if not text else find_complaints(self._rules, text)
        if not found:
            self._say(f"Nothing like {text!r}; try another word, or Enter for the list.")
            return
        options = [
            _Choice(str(number), titles[key], Complained(key))
            for number, key in enumerate(found, 1)
        ]
        event = self._choose(options, extra=" (Enter to try another word)")
        if isinstance(event, Complained):
            self._interview.add(self._with_place(event.complaint))

    def _with_place(self, complaint: str) -> Complained:
        places = self._rules.complaints[complaint].places
        if not places:
            return Complained(complaint)
        options = [
            _Choice(key, place, Complained(complaint, place))
            for key, place in zip(_initials(places), places, strict=True)
        ]
        self._write("Which end?")
        options.append(_Choice("?", "can't tell", Complained(complaint)))
        event = self._choose(options)
        return event if isinstance(event, Complained) else Complained(complaint)

    def _observe(self, step: Step) -> None:
        self._observation(step.target)

    def _observation(self, name: str) -> None:
        entry = self._rules.observations[name]
        self._lines(step_lines(observation_text(self._rules, self._interview.case, name)))
        cannot = "" if entry.kind in ("history", "question") else ", x can't do it here"
        if entry.kind == "measurement":
            assert entry.unit is not None
            units = ", ".join(units_like(entry.unit)) or "a number"
            self._write(f"  Reading in {units}; ? don't know{cannot}")
            keys = {}
        else:
            offered = choices(entry)
            yes_no = set(entry.states) == {"yes", "no"}
            keys = {
                (state[0] if yes_no else str(number)): state
                for number, (state, _) in enumerate(offered, 1)
            }
            for key, state in keys.items():
                self._write(f"  {key}  {entry.states[state]}")
            self._write(f"  ?  Don't know{cannot}")
        while True:
            text = self._line("> ")
            if text is None:
                return
            word = {"?": DONT_KNOW, "x": CANNOT_HERE}.get(text, keys.get(text, text))
            try:
                answer = read_answer(self._rules, name, word)
            except BadInput as error:
                self._say(str(error))
                continue
            self._interview.add(answer)
            return

    def _check_again(self, step: Step) -> None:
        rule = self._rules.rules[step.target]
        self._say(f"  {step.why}")
        answers = standing(self._interview.case).answers
        options = [_Choice("k", "Both answers stand", Insisted(step.target))]
        for number, name in enumerate(rule.then.check, 1):
            given = answers.get(name)
            said = f" (answered: {answer_text(self._rules, given)})" if given else ""
            self._write(f"  {number}  {self._rules.observations[name].ask}{said}")
        self._write("  k  Both answers stand")
        while True:
            text = self._line("> ")
            if text is None:
                return
            if text == "k":
                self._interview.add(options[0].event)
                return
            if text.isdigit() and 1 <= int(text) <= len(rule.then.check):
                self._observation(rule.then.check[int(text) - 1])
                return
            self._say(f"{text!r} is not one of the keys above.")

    def _act(self, step: Step) -> None:
        self._lines(step_lines(step_text(self._rules, self._interview.case, step)))
        if step.kind == "correct":
            options = [
                _Choice("d", "Done", Corrected(step.target)),
                _Choice("x", "Won't or can't do it here", Declined(step.target)),
            ]
        else:
            options = [
                _Choice(key, report.capitalize(), Rode(report))
                for key, report in zip(_initials(RIDE_REPORTS), RIDE_REPORTS, strict=True)
            ]
        event = self._choose(options)
        if event is not None:
            self._interview.add(event)

    # -- reading and writing ---------------------------------------------------------------------

    def _choose(self, options: list[_Choice], extra: str = "") -> Event | None:
        for option in options:
            self._write(f"  {option.key}  {option.label}")
        events = {option.key: option.event for option in options}
        while True:
            text = self._line(f"key{extra}> ")
            if text is None or (extra and not text):
                return None
            if text in events:
                return events[text]
            self._say(f"{text!r} is not one of the keys above.")

    def _line(self, prompt: str) -> str | None:
        """A line of input, or None when it was a command that has been carried out."""
        text = self._read(prompt).strip()
        command = text.lower()
        if command in ("s", "stop", "q", "quit"):
            raise _Stop
        if command in ("b", "back"):
            if self._interview.back() is None:
                self._say("Nothing to take back.")
            return None
        if command in ("w", "why"):
            assessment = self._interview.assessment
            self._lines(why_lines(self._rules, self._interview.case, assessment))
            return None
        if command in ("m", "machine"):
            self._machine()
            return None
        return text

    def _machine(self) -> None:
        """Go through the machine's traits, keeping what Enter leaves alone."""
        for trait, entry in self._rules.traits.items():
            self._write(entry.ask)
            options = list(entry.options.items())
            for number, (option, label) in enumerate(options, 1):
                default = " (Enter)" if option == entry.default else ""
                self._write(f"  {number}  {label}{default}")
            text = self._read("> ").strip()
            if text.isdigit() and 1 <= int(text) <= len(options):
                chosen = options[int(text) - 1][0]
                self._interview.case = self._interview.case.with_machine(trait, chosen)

    def _say(self, text: str) -> None:
        self._lines(wrapped(text))

    def _lines(self, lines: Iterable[str]) -> None:
        for line in lines:
            self._write(line)


def _initials(words: Iterable[str]) -> list[str]:
    """One key per word: its first letter not yet taken."""
    taken: list[str] = []
    for word in words:
        free = [letter for letter in word if letter not in taken and letter not in "bwms"]
        taken.append(free[0] if free else str(len(taken) + 1))
    return taken
