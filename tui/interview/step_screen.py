"""The screen of a step: what to do, its answers on single keys, the causes beside it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from diagnose.advice.assessor import Assessment
from diagnose.advice.planning import Step
from diagnose.case.events import Answered, Case, Corrected, standing
from diagnose.diagnosis import Assessed
from diagnose.words.answers import unit_of_bare
from diagnose.words.cause_words import leading_line, moved_line
from diagnose.words.standstill_words import standstill_text
from diagnose.words.step_words import StepText, step_label, step_text
from rules.rulebase import RuleBase
from tui.dialogs.base import LARGE, glyphs_of
from tui.interview.answer_pad import AnswerPad
from tui.interview.answering import Answering
from tui.interview.case_at_work import CaseActs, CaseAtWork
from tui.interview.case_head import CaseHead
from tui.interview.cause_bars import CauseBars, CausesBelow
from tui.interview.reading_field import ReadingField
from tui.interview.side import CaseScreen
from tui.interview.step_card import TO_THE_WORK, MoreLine, StepCard
from tui.interview.ways_on import WaysOn
from tui.plain.cautions_once import only_cautions, place_of, read_first
from tui.plain.offers import Offer, offers, standstill_offers
from tui.terminal.text import broken
from tui.widgets.key_button import KeyButton
from tui.widgets.key_lines import KeyFooter
from tui.widgets.keyed import keyed

_READING_LINES = 4
_AFTER = ", after: "
_LEAST_CAUSES = 3
# the most of its column that a card takes on a tall screen, as in the style sheets; its empty lines
_CARD_SHARE, _WORK_SHARE, _AIR = 0.65, 0.8, 4
_NEXT_PAGE, _READ_ON = "Next page", f"Read; {TO_THE_WORK}"
_NOT_DONE = ("?", "x")
_WORDS = 55
"""What step, answers and causes may come to, so that a small screen is taken in at one look: 90
with what stands above and below them (our own choice)."""


class InterviewScreen(Answering[None], CaseScreen):
    """One step at a time, until the case is closed or handed over."""

    CSS_PATH = "step_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("s", "show('sheet')", "The case as a sheet to fill in", id="sheet", also="tab"),
        keyed("r", "volunteer", "Give a reading or fact", id="fact.give"),
        keyed("u", "undo", "Take the last answer back", id="undo"),
        keyed("w", "show('why')", "Why this step, and these causes", id="why"),
        keyed("p", "show('plan')", "Corrections in order", id="plan"),
        keyed("k", "show('card')", "Job card: copy, save, close", id="card"),
        keyed("e", "show('earlier')", "Change an earlier answer", id="earlier", show=False),
        keyed("j", "jot", "Add a note to the case", id="jot", show=False),
        keyed("a", "add_complaint", "Another complaint", id="complaint.add", show=False),
        Binding(
            "escape", "leave", "Back", tooltip="Leave the case; it is kept", id="leave", show=False
        ),
        keyed("t", "harshness", "Tyre or damping, worked out", id="harsh", show=False),
        keyed("v", "cautions", "Cautions read before, in full", id="cautions", show=False),
        keyed("b", "set_bike", "Set the bike", id="bike.set", show=False),
        keyed("m", "way('m')", "Best guess, when answers move nothing", show=False),
        keyed("i", "way('i')", "What would settle most, when answers move nothing", show=False),
        keyed("g", "way('g')", "Go on asking, when answers move nothing", show=False),
        Binding("enter", "read_on", "Read", tooltip="Cautions read: on to the work", show=False),
        Binding("down,pagedown", "scroll(1)", "More text", show=False, id="more"),
        Binding("up,pageup", "scroll(-1)", "Text above", show=False, id="less"),
    ]

    def __init__(self, case: CaseAtWork, acts: CaseActs) -> None:
        super().__init__(case, acts)
        self._words: StepText | None = None
        self._shown_whole: Step | None = None
        self._has_read = False
        self._unread: StepText | None = None
        """The step with cautions that nobody has read yet; None where there are none."""
        self._is_reading = False

    def compose(self) -> ComposeResult:
        """Head; step and answers; causes beside them where there is room."""
        yield CaseHead()
        with Horizontal(id="body"):
            with Vertical(id="work"):
                yield (card := StepCard())
                yield MoreLine(card)
                yield ReadingField(id="reading")
                yield Static("", id="problem", markup=False)
                yield AnswerPad(id="pad")
                yield WaysOn()
            yield CauseBars(id="side")
        yield Static("", id="moved", markup=False)
        yield CausesBelow()
        yield Static("", id="so-far", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show what is known already."""
        self.query_one(CauseBars).glyphs = glyphs_of(self.app)
        self.query_one(CausesBelow).glyphs = glyphs_of(self.app)
        self.query_one("#reading").display = False
        card = self.query_one(StepCard)
        card.show("", StepText("Working it out"))
        self.watch(card, "scroll_y", self._offer_next, init=False)

    def on_resize(self) -> None:
        """Other sizes show more or less of the text."""
        self.show_case()

    def show_case(self) -> None:
        """Show the step as it now stands."""
        case = self.case
        self.query_one(CaseHead).show(case)
        assessed = case.assessed
        if assessed is None:
            return
        rules, step = case.rules, assessed.assessment.step
        self.set_class(step.kind == "correct", "-work")
        self._show_step(rules, assessed.case, assessed.assessment)
        self.query_one(AnswerPad).show(offers(rules, assessed.case, step))
        stuck = assessed.standstill
        self.query_one("#work").set_class(stuck is not None, "-offering")
        if stuck is None:
            self.query_one(WaysOn).show("", ())
        else:
            ways = standstill_offers(rules, step, stuck)
            self.query_one(WaysOn).show(standstill_text(stuck), ways)
        self._ask_reading(step.target if step.kind == "measure" else "")
        self._read_first(rules, step)
        self._fit_pad()
        self.query_one(CauseBars).show(rules, assessed)
        self.set_class(standing(assessed.case).is_proven, "-proven")
        more = self.query_one(MoreLine)
        more.leads_to = TO_THE_WORK if self._is_reading else ""
        more.count()
        if step.kind == "correct" and self.is_current:
            self.acts.before_work(step.target)

    def _show_step(self, rules: RuleBase, case: Case, assessment: Assessment) -> None:
        """The step, with cautions read at a step before in one line, unless they are asked for."""
        step = assessment.step
        if self._shown_whole != step:
            self._shown_whole = None
        self._words = step_text(rules, case, step, assessment.cautions)
        words, before = self.case.cautions.fold(place_of(step), self._words)
        self._has_read = bool(before)
        self._unread = words if words.cautions else None
        if self._shown_whole == step:
            words, before = self._words, ""
        self.query_one(StepCard).show(step_label(rules, step), words, before)
        self.refresh_bindings()

    def _read_first(self, rules: RuleBase, step: Step) -> None:
        """Where there is no room for both, cautions that nobody has read yet stand alone before the
        work; Enter leads on to it."""
        self._is_reading = (
            self._unread is not None and self._shown_whole != step and not self._has_room()
        )
        if self._is_reading and self._unread is not None:
            label = read_first(step_label(rules, step), self._unread)
            self.query_one(StepCard).show(label, only_cautions(self._unread))
            self._offer_next()
            self.call_after_refresh(self._offer_next)
            self.query_one("#reading").display = False
            self.set_focus(None)
        self.refresh_bindings()

    def _offer_next(self) -> None:
        """The next page of the cautions, or after the last one the work. Not to do it needs no
        caution."""
        if self._is_reading:
            page, pages = self.query_one(StepCard).pages
            pad = self.query_one(AnswerPad)
            left = [offer for offer in pad.offers if offer.key in _NOT_DONE]
            pad.show((Offer("Enter", _NEXT_PAGE if page < pages else _READ_ON), *left))

    def _has_room(self) -> bool:
        """Whether the whole step with its answers is in view without scrolling."""
        work = self.query_one("#work").size
        below = self.query("#moved, #so-far, CausesBelow")
        height = work.height + sum(line.size.height for line in below if line.display)
        least = sum(line.display for line in self.query("#moved, #so-far"))
        needed = self.query_one(StepCard).lines_needed()
        share = _WORK_SHARE if self.has_class("-work") else _CARD_SHARE
        if self.has_class("-roomy") and needed + _AIR > share * height > 0:
            return False
        return not height or self._lines_taken() + least <= height

    def _lines_taken(self) -> int:
        """The lines of the step, its answers and what is offered besides."""
        pad, ways = self.query_one(AnswerPad), self.query_one(WaysOn)
        reading = _READING_LINES if self.query_one(ReadingField).display else 0
        return self.query_one(StepCard).lines_needed() + ways.rows + pad.lines + 1 + reading

    def action_read_on(self) -> None:
        """The cautions were read: show the work."""
        if self._words is not None and not self.query_one(StepCard).show_unseen():
            self.case.cautions.read_apart(self._words)
            self.show_case()

    def action_cautions(self) -> None:
        """Show the cautions of the step whole, or those read before in one line again."""
        assessed = self.case.assessed
        if assessed is not None:
            step = assessed.assessment.step
            self._shown_whole = None if self._shown_whole == step else step
            self.show_case()

    def _ask_reading(self, observation: str) -> None:
        box = self.query_one(ReadingField)
        box.display = bool(observation)
        self.say_problem("")
        if observation:
            box.ask(
                unit_of_bare(self.case.rules, self.case.case, observation),
                self.case.rules.observations[observation].in_words,
            )
        else:
            self.set_focus(None)

    def _fit_pad(self) -> None:
        """Whole offers, the causes in front, whole lines below and tall buttons, each wherever the
        text of the step leaves room for it."""
        pad, ways = self.query_one(AnswerPad), self.query_one(WaysOn)
        causes = self.query_one(CausesBelow)
        moved, so_far = self.query_one("#moved", Static), self.query_one("#so-far", Static)
        is_narrow = moved.display
        work = self.query_one("#work").size
        below = [line.size.height for line in (moved, causes, so_far) if line.display]
        room = work.height + sum(below) - self._lines_taken()
        unfolded = ways.unfold(room, work.width)
        room -= unfolded
        is_large = self.app.has_class(LARGE)
        if is_large:  # large targets go before the causes, but never before the question
            card = self.query_one(StepCard)
            gives = card.lines_needed() - card.least_lines() - (2 if is_narrow else 0)
            beside = ways.rows + unfolded
            room -= pad.grow(room + pad.lines, room + pad.lines + gives, beside) - pad.lines
        if is_narrow and self.case.assessed is not None:
            lines = 2 if room >= _LEAST_CAUSES + 2 and self._words_to_read() < _WORDS / 2 else 1
            room -= self._show_moved(moved, self.case.assessed, lines)
            width = max(20, self.size.width - 2)
            # a line is kept free: the bars come before the step's text is laid out again
            words = _WORDS - self._words_to_read()
            filled = causes.fill(self.case.rules, self.case.assessed, room - 1, width, words)
            so_far.set_class(filled > 0, "-told")
            room -= filled or self._show_so_far(so_far, self.case.assessed, 2 if room > 1 else 1)
        if not is_large:
            pad.grow(room + pad.lines)

    def _words_to_read(self) -> int:
        """The words of the step and its answers."""
        labels = (offer.label for offer in self.query_one(AnswerPad).offers)
        return self.query_one(StepCard).words + sum(len(label.split()) for label in labels)

    def _show_moved(self, part: Static, assessed: Assessed, lines: int) -> int:
        """What the last answer did; how many lines that takes."""
        rules, assessment = self.case.rules, assessed.assessment
        moved = moved_line(rules, assessed.case, assessment, assessed.moved, most=1)
        return self._put_parts(part, moved.split(_AFTER), _AFTER, lines)

    def _show_so_far(self, part: Static, assessed: Assessed, lines: int) -> int:
        """The causes in front in a line or two; how many lines that takes."""
        leading = leading_line(self.case.rules, assessed.assessment)
        return self._put_parts(part, leading.split("; "), "; ", lines)

    def _put_parts(self, part: Static, parts: list[str], sign: str, lines: int) -> int:
        width = max(10, self.size.width - 2)
        shown = [sign.join(parts[:count]) for count in range(len(parts), 0, -1)]
        text = next((text for text in shown if len(broken(text, width)) <= lines), shown[-1])
        part.update(text)
        return min(lines, len(broken(text, width)))

    # -- answers ---------------------------------------------------------------------------------

    def asks(self) -> tuple[RuleBase, str] | None:
        """What the step asks for; None while the last answer is worked out, since another would
        meet the wrong step."""
        assessed = self.case.assessed
        return None if assessed is None else (self.case.rules, assessed.assessment.step.target)

    def take(self, offer: Offer) -> None:
        """Record what the key stands for, or open it."""
        if isinstance(offer.event, Corrected) and self.query_one(StepCard).show_unseen():
            self.say_problem(f"Read on first; then {offer.key} again.")
        elif offer.event is not None:
            self._left()
            self.acts.record(offer.event)
        elif offer.opens == "complaint":
            self.acts.add_complaint()
        elif offer.opens == "card":
            self.acts.show("card")
        elif offer.opens == "close":
            self.acts.close()
        elif offer.opens == "answer-again":
            self.acts.answer_again(offer.about)
        elif offer.opens == "go-on":
            self.acts.go_on()
        elif offer.step is not None:
            self.acts.turn_to(offer.step)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys of what is offered work."""
        if action == "cautions":
            return self._has_read and not self._is_reading
        if action == "read_on":
            return self._is_reading
        if action == "way":
            return self._way(str(parameters[0])) is not None
        return super().check_action(action, parameters)

    def find(self, key: str) -> Offer | None:
        """What is under a key: an answer, or what is offered besides."""
        return super().find(key) or self._way(key)

    def _way(self, key: str) -> Offer | None:
        ways = self.query_one_optional(WaysOn)
        return None if ways is None else ways.find(key)

    def action_way(self, key: str) -> None:
        """Take what is offered besides the answers."""
        self.action_answer(key)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Give any answer, or take what is offered besides, by its label."""
        yield from super().spoken_actions()
        for offer in self.query_one(WaysOn).offers:
            yield offer.label, f"answer({offer.key!r})"

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """An answer was touched, or that the cautions were read."""
        if self._is_reading and message.key == "Enter":
            self.action_read_on()
        else:
            super().on_key_button_pressed(message)

    def on_reading_field_blank(self, message: ReadingField.Blank) -> None:
        """Say what would be a reading."""
        self.say_problem(message.wanted)

    def take_reading(self, answer: Answered) -> None:
        """Record the reading that was typed."""
        self._left()
        self.acts.record(answer)

    def _left(self) -> None:
        """The step on screen is answered: its cautions were shown."""
        assessed = self.case.assessed
        if assessed is not None and self._words is not None and not self._is_reading:
            self.case.cautions.read(place_of(assessed.assessment.step), self._words)

    def action_add_complaint(self) -> None:
        """Ask what else the rider says."""
        self.acts.add_complaint()

    def action_set_bike(self) -> None:
        """Set the bike of the case."""
        self.acts.set_bike()

    def action_harshness(self) -> None:
        """Open tyre or damping on the readings of the case."""
        self.acts.harshness()

    def action_scroll(self, by: int) -> None:
        """Scroll the text of the step by pages."""
        self.query_one(StepCard).page(by)

    def action_leave(self) -> None:
        """Put cautions that were shown again away; else leave the case, which stays kept."""
        assessed = self.case.assessed
        if assessed is not None and self._shown_whole == assessed.assessment.step:
            self.action_cautions()
            return
        self.acts.leave()
