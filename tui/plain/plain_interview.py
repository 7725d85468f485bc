"""The interview line by line: over ssh, in a dumb terminal, with a screen reader."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from diagnose.advice.check_in import check_in
from diagnose.advice.planning import Step
from diagnose.advice.sheet import CaseSheet, sheet
from diagnose.advice.standstill import Standstill
from diagnose.advice.taking_along import goes_along
from diagnose.case.events import (
    Answered,
    Complained,
    Corrected,
    Declined,
    Event,
    Noted,
    Rode,
    machine_traits,
    read_answer,
    read_target,
    standing,
)
from diagnose.case.figures import figure_of
from diagnose.case.set_figures import figures_to_ask, figures_to_find, last_reading
from diagnose.diagnosis import Diagnosis, MovedOn
from diagnose.listening.complaints import find_complaints
from diagnose.listening.listen import listener_of
from diagnose.listening.understood import understand
from diagnose.listening.volunteered import FactsNear, facts_near
from diagnose.words.answers import accepted, none_of, unit_of_bare
from diagnose.words.ban_words import ban_texts
from diagnose.words.bike_words import bike_in_full
from diagnose.words.cause_words import leading_line
from diagnose.words.chances import about_minutes
from diagnose.words.event_words import asked_text
from diagnose.words.fact_words import NOT_UNDERSTOOD, another_complaint, meant_heading
from diagnose.words.figure_words import figure_text
from diagnose.words.sheet_words import next_text, row_card
from diagnose.words.standstill_words import standstill_text
from diagnose.words.step_words import (
    StepText,
    found_before_text,
    held_to_targets,
    kind_word,
    no_correction_text,
    observation_text,
    set_text,
    step_text,
    why_text,
)
from diagnose.words.titles import sentence, setting_title
from rules.problems import BadInput
from rules.units.quantities import with_unit
from tui.plain.cautions_once import CautionsOnce, place_of
from tui.plain.lines import caution_lines, plan_lines, step_lines, summary_lines, why_lines
from tui.plain.offers import (
    NOT_READ,
    OBSERVING,
    Offer,
    answer_first,
    observation_offers,
    offers,
    place_offers,
    set_offers,
    standstill_offers,
)
from tui.plain.plain_opening import ENDS_ANSWER, NO_MORE, checked_in, go_through
from tui.plain.plain_sheet import PlainSheet
from tui.terminal.clock import now
from tui.terminal.keys import KEYS
from tui.terminal.text import wrapped

if TYPE_CHECKING:
    from diagnose.cards.blocks import Audience

Read = Callable[[str], str]
Write = Callable[[str], None]

_TARGET = "target"
_COMMANDS = "ursvwpdjkabhq"
_WORDS = {
    **{KEYS[letter].name.lower(): letter for letter in _COMMANDS},
    **{"another": "a", "back": "u", "list": "s", "\t": "s", "stop": "q"},
}
_KEYS = (
    f"? {KEYS['?'].act}, x {KEYS['x'].act}, "
    f"{', '.join(f'{letter} {KEYS[letter].name.lower()}' for letter in _COMMANDS)}; "
    "a fact in words at any question, target FIGURE what the manual says."
)
_MOST_NAMED = 9
_LIST = ("", "?", "list")
_YES = ("y", "yes")


def _command(text: str) -> str:
    """The letter of the command that `text` is; empty where it is none."""
    said = text.lower()
    return said if said in _COMMANDS and len(said) == 1 else _WORDS.get(said, "")


def _named(options: Sequence[Offer]) -> str:
    return "; ".join(f"{option.key} {option.label}" for option in options)


def _is_work(step: Step, correction: str) -> bool:
    return (step.kind, step.target) == ("correct", correction)


class _Stop(Exception):
    """The person wants to stop here."""


class PlainInterview:
    """Runs an interview by reading and writing lines."""

    def __init__(self, diagnosis: Diagnosis, read: Read, write: Write) -> None:
        self._diagnosis = diagnosis
        self._rules = diagnosis.rules
        self._read = read
        self._write = write
        self._cautions = CautionsOnce()
        self._at: StepText | None = None
        self._not_read: set[tuple[tuple[str, ...], str]] = set()

    def run(self) -> None:
        """Ask until there is nothing left to ask or the person stops; then sum up.

        End of input counts as stopping. `KeyboardInterrupt` is left to the caller.
        """
        self._say(f"{self._rules.title}. One key and Enter answers; {_KEYS}")
        self._say(f"Bike: {bike_in_full(self._rules, self._diagnosis.case)}.")
        try:
            while self._turn():
                pass
        except (_Stop, EOFError):
            pass
        if self._diagnosis.waiting:
            self._commit()
        self._write("")
        assessment = self._diagnosis.assessment
        if goes_along(assessment):
            self._card("take-along")
        else:
            self._lines(
                summary_lines(self._rules, self._diagnosis.case, assessment, self._cautions.texts)
            )

    def _turn(self) -> bool:
        """Take one step. False where it was the last."""
        step = self._diagnosis.assessment.step
        if step.kind == "complain":
            self._complain()
            return True
        if step.kind in ("close", "hand-over"):
            self._write("")
            self._step(place_of(step), self._words(step))
            return False
        if step.kind == "correct" and not self._asked_what_was_found(step.target):
            return True
        self._write("")
        rank = f"{step.constraint}, " if step.constraint else ""
        self._write(f"{kind_word(self._rules, step)} ({rank}{about_minutes(step.minutes)}):")
        if step.kind in OBSERVING:
            self._observation(step.target, self._words(step), self._diagnosis.standstill)
        else:
            if step.kind == "check-again":
                self._say(f"  {why_text(self._rules, step)}")
            else:
                self._step(place_of(step), self._words(step))
            self._choose_at(step)
        if self._diagnosis.assessment.step.kind != "complain":
            leading = leading_line(self._rules, self._diagnosis.assessment)
            self._say(f"{leading}." if leading else "")
        return True

    def _words(self, step: Step) -> StepText:
        cautions = self._diagnosis.assessment.cautions
        return step_text(self._rules, self._diagnosis.case, step, cautions)

    def _step(self, step: str, words: StepText) -> None:
        """Write a step; cautions that were read at a step before take one line."""
        self._at = words
        self._lines(step_lines(*self._cautions.fold(step, words)))
        self._cautions.read(step, words)

    # -- steps -----------------------------------------------------------------------------------

    def _complain(self) -> None:
        titles = {key: entry.title for key, entry in self._rules.complaints.items()}
        self._write("")
        self._say("What happened? In the rider's words, whole sentences too; Enter for the list.")
        text = self._line("complaint> ")
        if text is None:
            return
        if len(text.split()) > 1:
            self._listen(text)
            return
        if text.isdecimal() and 1 <= int(text) <= len(titles):
            self._record(self._with_place(list(titles)[int(text) - 1]))
            return
        is_list = text.lower() in _LIST
        found = list(titles) if is_list else find_complaints(self._rules, text)
        if not found:
            self._say(f"Nothing like {text!r}; try another word, or Enter for the list.")
            return
        for complained in self._pick(found):
            self._record(complained)

    def _pick(self, found: Sequence[str]) -> list[Complained]:
        """Which of these complaints the rider means, with the end of each."""
        options = [
            Offer(str(number), self._rules.complaints[key].title, Complained(key))
            for number, key in enumerate(found, 1)
        ]
        several = ", or several such as 1 2" if len(options) > 1 else ""
        enter = f"{several} (Enter to try another word)"
        picked = self._choose_some(options, enter, most=len(options))
        events = [offer.event for offer in picked]
        placed = [self._with_place(e.complaint) for e in events if isinstance(e, Complained)]
        return [event for event in placed if isinstance(event, Complained)]

    def _listen(self, text: str) -> None:
        """Listen to a story; what stands of it becomes part of the case, then the check-in."""
        understood = go_through(
            understand(listener_of(self._rules), text), self._line_before, self._say_hanging
        )
        if understood is None:
            return
        picked: list[Complained] = []
        if not understood.has_complaint:
            self._say("No complaint is understood in it. Which of these is it?")
            picked = self._pick(list(self._rules.complaints))
        diagnosis = self._diagnosis
        traits = {**understood.traits, **diagnosis.case.machine}
        if traits != diagnosis.case.machine:
            diagnosis.set_bike(traits, diagnosis.case.targets)
        already = standing(diagnosis.case).complaints
        diagnosis.add(*(e for e in (*understood.events, *picked) if e not in already))
        self._commit()
        if standing(diagnosis.case).complaints:
            case = diagnosis.case
            page = check_in(diagnosis.assessor, case)
            if not page.is_empty:
                diagnosis.add(
                    *checked_in(self._rules, case, page, self._line_of_keys, self._say_hanging)
                )
                self._commit()

    def _volunteered(self, text: str) -> bool | None:
        """Whether what is surely said in `text` is taken, or a fact that may be meant is asked and
        answered; None where it is not understood."""
        if len(text.split()) < 2 or self._diagnosis.assessment.step.kind == "complain":
            return None
        near, taken = self._near(text), False
        if near.heard:
            self._say(f"Heard: {'; '.join(asked_text(self._rules, fact) for fact in near.heard)}.")
            if self._read("y takes it, Enter leaves it> ").strip().lower() in _YES:
                self._diagnosis.add(*near.heard)
                self._commit()
                taken = True
        taken = self._take_complaints(near) or taken
        if near.meant and not (taken or near.heard):
            return self._meant(near)
        return taken if near.heard or near.complaints else None

    def _near(self, text: str) -> FactsNear:
        hidden = self._diagnosis.assessment.belief.findings.not_applicable
        already = standing(self._diagnosis.case).complaints
        return facts_near(listener_of(self._rules), text, hidden, already)

    def _take_complaints(self, near: FactsNear) -> bool:
        """Ask of each complaint that was heard besides whether to add it. Whether one was."""
        before = self._diagnosis.case
        for complaint in near.complaints:
            self._say(another_complaint(self._rules, complaint))
            if self._read("y adds it, n or Enter leaves it> ").strip().lower() in _YES:
                placed = complaint.place is not None
                self._record(complaint if placed else self._with_place(complaint.complaint))
        return self._diagnosis.case != before

    def _answered_first(self, options: Sequence[Offer], text: str) -> bool:
        """Whether `text` is an answer with more after it: both are taken, the rest as facts."""
        first = answer_first(options, text)
        if first is None or not isinstance(first[0].event, Answered | Rode | Corrected | Declined):
            return False
        offer, rest = first
        near = self._near(rest)
        facts = near.heard
        if rest and not (facts or near.complaints) and not ENDS_ANSWER.match(text):
            return False
        heard = "; ".join(asked_text(self._rules, fact) for fact in facts)
        if rest:
            nothing = "" if near.complaints else NO_MORE
            self._say(f"{offer.label}. {f'Heard: {heard}.' if heard else nothing}")
        event = offer.event
        assert event is not None
        self._record(event)
        self._diagnosis.add(*facts)
        self._commit()
        self._take_complaints(near)
        return True

    def _meant(self, near: FactsNear) -> bool:
        """Offer what may be meant, and ask it with its answers. Whether anything was said of it."""
        self._say(meant_heading(near))
        options = [
            Offer(str(number), setting_title(self._rules, name), about=name)
            for number, name in enumerate(near.meant, 1)
        ]
        self._offer(options)
        while key := self._read("number (Enter takes none of them)> ").strip():
            for option in options:
                if option.key == key:
                    case = self._diagnosis.case
                    words = observation_text(self._rules, case, option.about)
                    self._observation(option.about, words)
                    return self._diagnosis.case != case
            self._refuse(key, options)
        return False

    def _with_place(self, complaint: str) -> Event | None:
        entry = self._rules.complaints[complaint]
        if not entry.places:
            return Complained(complaint)
        self._write(f"{entry.title}: which end?")
        picked = self._choose(place_offers(self._rules, complaint))
        return Complained(complaint) if picked is None else picked.event

    def _observation(self, name: str, words: StepText, stuck: Standstill | None = None) -> None:
        entry = self._rules.observations[name]
        self._step(name, words)
        answers = observation_offers(self._rules, name)
        unit = ""
        if entry.kind == "measurement":
            unit = unit_of_bare(self._rules, self._diagnosis.case, name)
            self._say(f"  Type a {accepted(unit, entry.in_words)}")
            if entry.target is not None:
                self._write(f"  Or {_TARGET} and a figure: what the manual says it should be")
        self._offer(answers)
        besides: tuple[Offer, ...] = ()
        if stuck is not None:
            besides = standstill_offers(self._rules, self._diagnosis.assessment.step, stuck)
            self._say(standstill_text(stuck))
            self._offer(besides)
        while True:
            text = self._line("> ", (name,) if entry.target else ())
            if text is None:
                return
            way = next((offer for offer in besides if offer.key == text.lower()), None)
            if way is not None:
                self._go(way)
                return
            picked = next((offer.event for offer in answers if offer.key == text.lower()), None)
            try:
                answer = picked or read_answer(self._rules, name, with_unit(text, unit))
            except BadInput as error:
                if self._answered_first(answers, text):
                    return
                taken = self._volunteered(text)
                if taken:
                    return
                if taken is not None:
                    continue
                if entry.kind == "measurement":
                    self._say(f"{error}. Or {_named((*answers, *besides))}.")
                else:
                    self._refuse(text, (*answers, *besides))
                continue
            self._record(answer)
            return

    def _go(self, way: Offer) -> None:
        """Do what was offered besides the answers."""
        if way.step is None:
            self._diagnosis.go_on()
        else:
            self._diagnosis.turn_to(way.step)

    def _choose_at(self, step: Step) -> None:
        picked = self._choose(offers(self._rules, self._diagnosis.case, step))
        if picked is None:
            return
        if picked.opens == "answer-again":
            words = observation_text(self._rules, self._diagnosis.case, picked.about)
            self._observation(picked.about, words)
        elif picked.opens == "complaint":
            self._complain()
        else:
            self._record(picked.event)

    def _record(self, event: Event | None) -> None:
        if event is None:
            return
        self._diagnosis.add(event)
        self._commit()
        if isinstance(event, Corrected):
            self._ask_what_was_set(event.correction)

    def _asked_what_was_found(self, correction: str) -> bool:
        """Ask for each reading that the work sets and that nobody took, before the work is shown.
        False where the work is not to be shown yet: a command came instead, or what was found
        leads elsewhere."""
        diagnosis = self._diagnosis
        for name in figures_to_find(self._rules, diagnosis.case, correction):
            about = (standing(diagnosis.case).corrections, name)
            if about in self._not_read:
                continue
            case, chosen = diagnosis.case, diagnosis.chosen
            self._write("")
            words = found_before_text(self._rules, case, name)
            if not self._ask_figure("found> ", name, words, NOT_READ):
                return False
            if diagnosis.case == case:
                self._not_read.add(about)
            elif chosen is not None:
                diagnosis.turn_to(chosen)
            elif not _is_work(diagnosis.assessment.step, correction):
                return False
        return True

    def _ask_what_was_set(self, correction: str) -> None:
        """Ask for each reading that the work brings to a figure, as a reading after it."""
        for name in figures_to_ask(self._rules, self._diagnosis.case, correction):
            case = self._diagnosis.case
            words, options = set_text(self._rules, case, name), set_offers(self._rules, case, name)
            if not self._ask_figure("set to> ", name, words, options):
                return

    def _ask_figure(
        self, prompt: str, name: str, words: StepText, options: Sequence[Offer]
    ) -> bool:
        """Ask for one figure; Enter takes the first that is offered. False where a command came
        instead, which leaves the rest."""
        case = self._diagnosis.case
        self._step(name, words)
        self._offer(options)
        found = last_reading(case, name)
        unit = unit_of_bare(self._rules, case, name) if found is None else found.unit
        self._say(f"  Or a {accepted(unit)}")
        picked: Offer | None = None
        while picked is None:
            text = self._line(prompt, (name,))
            if text is None:
                return False
            picked = next((offer for offer in options if offer.key == text.lower()), None)
            if not text:
                picked = options[0]
            if picked is None:
                try:
                    reading = read_answer(self._rules, name, with_unit(text, unit))
                except BadInput as error:
                    self._say(f"{error}. Or {_named(options)}.")
                else:
                    picked = Offer("", "", reading if reading.reading else None)
        self._record(picked.event)
        return True

    def _commit(self) -> None:
        """Keep what was said; what cannot be kept waits and is tried again with the next answer."""
        try:
            self._diagnosis.commit()
        except MovedOn as news:
            self._say("Another terminal has moved this case on; it goes on from there.")
            self._say(f"Not added: {len(news.lost)} of what you said.")
        except BadInput as problem:
            self._say(f"NOT RECORDED YET: {problem}. It is tried again with the next answer.")

    # -- reading and writing ---------------------------------------------------------------------

    def _offer(self, options: Sequence[Offer]) -> None:
        for option in options:
            self._lines(wrapped(option.label, "     ", f"  {option.key}  "))

    def _choose(self, options: Sequence[Offer], extra: str = "") -> Offer | None:
        return next(iter(self._choose_some(options, extra)), None)

    def _choose_some(self, options: Sequence[Offer], extra: str, most: int = 1) -> list[Offer]:
        """At most `most` of the options; none when a command was carried out instead."""
        self._offer(options)
        found = {option.key: option for option in options}
        while True:
            text = self._line(f"key{extra}> ")
            if text is None or (extra and not text):
                return []
            keys = list(dict.fromkeys(text.lower().replace(",", " ").split()))
            if 0 < len(keys) <= most and all(key in found for key in keys):
                return [found[key] for key in keys]
            first = answer_first(options, text)
            if not extra and first is not None and not first[1]:
                return [first[0]]
            if not extra and self._answered_first(options, text):
                return []
            taken = self._volunteered(text)
            if taken:
                return []
            if taken is None:
                self._refuse(text, options)

    def _refuse(self, text: str, options: Sequence[Offer], other: str = "") -> None:
        """Say that `text` is none of these, and what is; a long list stands above."""
        named = _named(options)
        if len(options) > _MOST_NAMED:
            named = f"{options[0].key} to {options[-1].key} of the list above"
        self._say(none_of(text, [named, *([other] if other else [])]))

    def _line(self, prompt: str, about: Sequence[str] = ()) -> str | None:
        """A line of input, or None when it was a command that has been carried out.

        `about` are the readings whose targets can be given here; by default those of the step.
        """
        text = self._read(prompt).rstrip("\n").strip(" ")
        return None if self._obeys(text, about) else text.strip()

    def _line_before(self, prompt: str) -> str | None:
        """A line while the rider's words are gone through, or None to go back from there."""
        while True:
            text = self._read(prompt).strip()
            command = _command(text)
            if command == "q":
                raise _Stop
            if command == "u":
                return None
            if command != "h":
                return text
            self._help()

    @property
    def _has_complaint(self) -> bool:
        return self._diagnosis.assessment.step.kind != "complain"

    def _obeys(self, text: str, about: Sequence[str] = ()) -> bool:
        """Carry out a command, where `text` is one."""
        word, _, figure = text.partition(" ")
        command = _command(text)
        if command == "q":
            raise _Stop
        if word.lower() == _TARGET:
            self._targets(figure.strip(), about or self._held_now())
        elif command in ("u", "b", "h"):
            {"u": self._undo, "b": self._bike, "h": self._help}[command]()
        elif command and self._has_complaint:
            {
                "r": self._reading,
                "s": self._sheet,
                "v": self._cautions_in_full,
                "w": self._why,
                "p": self._plan,
                "d": self._drawing,
                "j": self._note,
                "k": self._card,
                "a": self._complain,
            }[command]()
        else:
            return False
        return True

    def _undo(self) -> None:
        if self._diagnosis.undo():
            self._commit()
        else:
            self._say("Nothing to take back.")

    def _help(self) -> None:
        self._say(f"One key and Enter answers; {_KEYS}")

    def _why(self) -> None:
        assessment, told = self._diagnosis.assessment, self._diagnosis.told()
        self._lines(why_lines(self._rules, self._diagnosis.case, assessment, told))

    def _plan(self) -> None:
        assessment = self._diagnosis.assessment
        lines = [*plan_lines(self._rules, assessment, self._cautions.texts)]
        self._lines(lines or wrapped(no_correction_text(assessment)))

    def _cautions_in_full(self) -> None:
        at = self._at
        self._lines(caution_lines(at) if at and at.cautions else ["No cautions here."])

    def _reading(self) -> None:
        """Ask for a fact, a reading or another complaint in words, and take it."""
        text = self._read("reading or fact> ").strip()
        if text and self._volunteered(text) is None:
            self._say(NOT_UNDERSTOOD)

    def _note(self) -> None:
        text = self._read("note> ").strip()
        if text:
            self._record(Noted(text))

    def _card(self, audience: Audience | None = None) -> None:
        """Show the card for these, or the one that comes first now."""
        # they load the store's library, which an interview that is not kept does without
        from diagnose.records.cases.keeping import on_paper  # noqa: PLC0415
        from tui.plain.card_lines import card_lines  # noqa: PLC0415

        kept = on_paper(self._diagnosis, now())
        assessor, assessment = self._diagnosis.assessor, self._diagnosis.assessment
        self._lines(card_lines(assessor, kept, assessment, audience))

    def _drawing(self) -> None:
        """Say what the drawing of the step shows."""
        picture = self._rules.pictures.get("" if self._at is None else self._at.picture)
        self._say(
            "No drawing here." if picture is None else f"{picture.title}. {picture.description}"
        )

    def _sheet(self) -> None:
        """Show the case as a list, and take what is filled in, until Enter alone."""
        rows = PlainSheet(self._rules, self._cautions)
        while self._has_complaint:
            assessment = self._diagnosis.assessment
            case, made = self._diagnosis.case, sheet(self._diagnosis.assessor, assessment)
            self._write("")
            for reason in ban_texts(self._rules, case, assessment.bans):
                self._lines(wrapped(reason, "  ", "DO NOT RIDE: "))
            self._say(leading_line(self._rules, assessment))
            self._say(next_text(self._rules, case, assessment.step, made))
            self._lines(rows.lines(case, made, most=_MOST_NAMED))
            while self._diagnosis.case == case:
                text = self._read("list> ").strip()
                if not text:
                    return
                if _command(text) == "s":
                    self._lines(rows.lines(case, made))
                elif not self._obeys(text):
                    self._fill(rows, made, text)

    def _fill(self, rows: PlainSheet, made: CaseSheet, text: str) -> None:
        """Record what was typed at the list, or show the row that must be read first."""
        try:
            row, event = rows.read(self._diagnosis.case, made, text)
        except BadInput as error:
            self._say(str(error))
            return
        if event is None:
            if row.is_work and not self._asked_what_was_found(row.about):
                return
            if " " in text:
                self._say("Not taken yet; read this first, then type it again.")
            self._at = row_card(self._rules, self._diagnosis.case, row)
            self._lines(rows.row_lines(self._diagnosis.case, row))
        elif row.kind == "said":
            self._diagnosis.change(row.event, event)
            self._commit()
        else:
            self._record(event)

    def _line_of_keys(self, prompt: str) -> str | None:
        """A line where letters are keys of their own; only whole words are commands."""
        text = self._read(prompt).strip()
        command = _WORDS.get(text.lower())
        if command == "q":
            raise _Stop
        return None if command == "u" else text

    def _bike(self) -> None:
        """Go through the bike's traits, keeping what Enter leaves alone."""
        case = self._diagnosis.case
        traits = machine_traits(self._rules, case)
        chosen = dict(case.machine)
        for trait, entry in self._rules.traits.items():
            self._write(entry.ask)
            keys = {str(number): option for number, option in enumerate(entry.options, 1)}
            offered = [Offer(key, entry.options[option]) for key, option in keys.items()]
            for offer in offered:
                as_it_is = " (Enter)" if keys[offer.key] == traits[trait] else ""
                self._write(f"  {offer.key}  {offer.label}{as_it_is}")
            while text := self._read("> ").strip():
                if text in keys:
                    chosen[trait] = keys[text]
                    break
                self._refuse(text, offered, "Enter leaves it as it is")
        self._diagnosis.set_bike(chosen, case.targets)
        self._commit()

    def _held_now(self) -> tuple[str, ...]:
        return held_to_targets(self._rules, self._diagnosis.case, self._diagnosis.assessment.step)

    def _targets(self, figure: str, readings: Sequence[str]) -> None:
        """Take the manual's figures for what these readings should be; `figure` is that of one."""
        if not readings:
            self._say("A target is given where a reading is asked, or where one is put right.")
        for name in readings:
            self._target(name, figure if len(readings) == 1 else "")

    def _target(self, reading: str, figure: str) -> None:
        """Take one figure, asking until it can be read; Enter leaves it as it is."""
        case = self._diagnosis.case
        spec = self._rules.observations[reading].target or ""
        unit = unit_of_bare(self._rules, case, reading)
        title = sentence(self._rules.specs[spec].title)
        while True:
            if not figure:
                now = figure_text(figure_of(self._rules, case, spec))
                self._say(f"{title}: {now}. The manual's figure, or Enter to leave it.")
                figure = self._read(f"{_TARGET}> ").strip()
            if not figure:
                return
            try:
                _, quantity = read_target(self._rules, spec, with_unit(figure, unit))
            except BadInput as error:
                self._say(f"{error}.")
                figure = ""
                continue
            self._diagnosis.set_bike(case.machine, {**case.targets, spec: quantity})
            self._commit()
            self._say(f"{title} {quantity}, as given.")
            return

    def _say(self, text: str) -> None:
        self._lines(wrapped(text))

    def _say_hanging(self, text: str) -> None:
        start = text[: len(text) - len(text.lstrip())]
        self._lines(wrapped(text.lstrip(), f"{start}   ", start))

    def _lines(self, lines: Iterable[str]) -> None:
        for line in lines:
            self._write(line)
