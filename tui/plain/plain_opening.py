"""The beginning of an interview line by line: what was heard in a story, and the check-in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from diagnose.advice.check_in import CheckIn
from diagnose.case.events import Answered, Case, brought_by, standing
from diagnose.listening.heard import OpenQuestion
from diagnose.listening.understood import NONE, Understood
from diagnose.words.answers import accepted, answer_text, none_of, unit_of_bare
from diagnose.words.check_in_words import (
    NONE_OF_THEM,
    READINGS,
    SHOWS,
    SINCE,
    should_be,
    tick_text,
)
from diagnose.words.heard_words import item_text, not_taken_lines, question_text, quoted
from diagnose.words.titles import setting_title
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tui.plain.heard_offers import choice_of, first_free, question_offers
from tui.plain.offers import answer_first
from tui.plain.ticks import Ticks, read_or_unknown

Line = Callable[[str], str | None]
"""Reads a line after a prompt; None where it was a command that has been carried out."""
Say = Callable[[str], None]

_ENTER = {
    "complaint": "Enter as n: it is left out",
    "place": "Enter as ?: which end stays open",
    "figure": "Enter as ?: it is not taken down",
    "fact": "Enter as ?: it is not taken down",
}
ENDS_ANSWER = re.compile(r"[\w ]+[,.;:]")
NO_MORE = "Nothing else in it is a fact that is known here."
_READING = re.compile(r"([1-9])\s*=\s*(.*)")


def go_through(understood: Understood, line: Line, say: Say) -> Understood | None:
    """Show what was heard, ask what is open, let it be struck out or added to. None where the
    person went back."""
    while True:
        for text in _heard_lines(understood):
            say(text)
        while (question := understood.question) is not None:
            after = _asked(understood, question, line, say)
            if after is None:
                return None
            understood = after
        typed = line("Enter goes on, a number strikes out, more words add> ")
        if typed is None:
            return None
        if not typed:
            return understood
        understood = _changed(understood, typed, say)


def _heard_lines(understood: Understood) -> Iterator[str]:
    items = understood.items
    yield "Heard:" if items else "Nothing in it is a fact that is known here."
    for number, item in enumerate(items, 1):
        mark = "struck out: " if item.is_struck else ""
        text = item_text(understood.rules, item)
        yield f"  {number}  {mark}{text}, from {quoted(item.words)}"
    for line in not_taken_lines(understood.rules, understood.story):
        yield f"     {line}"
    yield from understood.story.remarks


def _asked(
    understood: Understood, question: OpenQuestion, line: Line, say: Say
) -> Understood | None:
    """What is understood once the question is answered, or more was heard in place of an answer;
    what follows an answer is heard too. None where the person went back."""
    rules = understood.rules
    say(question_text(rules, question))
    first_answer = first_free(understood)
    offers = question_offers(rules, question, first_answer)
    for offer in offers:
        say(f"  {offer.key}  {offer.label}")
    while True:
        text = line(f"key ({_ENTER[question.asks]})> ")
        if text is None:
            return None
        if not text:
            return understood.answer(question, NONE)
        if any(offer.key == text.lower() for offer in offers):
            return understood.answer(question, choice_of(question, text.lower(), first_answer))
        first = answer_first(offers, text)
        if first is not None and not first[1]:
            return understood.answer(question, choice_of(question, first[0].key, first_answer))
        more = understood.add(first[1] if first else text)
        new = _new(understood, more)
        if first is not None and (new or ENDS_ANSWER.match(text)):
            heard = f"Heard: {'; '.join(new)}." if new else NO_MORE
            say(f"{first[0].label}. {heard}")
            return more.answer(question, choice_of(question, first[0].key, first_answer))
        if new:
            say(f"Heard: {'; '.join(new)}.")
            return more
        say(none_of(text, [f"{offer.key} {offer.label}" for offer in offers]))


def _new(before: Understood, after: Understood) -> list[str]:
    """What was understood since, in words."""
    known = {item.what for item in before.items}
    return [item_text(after.rules, item) for item in after.items if item.what not in known]


def _changed(understood: Understood, typed: str, say: Say) -> Understood:
    numbers = typed.replace(",", " ").split()
    items = understood.items
    if len(typed) == 1 and not typed.isdigit():
        say(none_of(typed, [f"1 to {len(items)}", "more words", "Enter", "u to go back"]))
        return understood
    if not all(number.isdigit() for number in numbers):
        return understood.add(typed)
    for number in numbers:
        if 1 <= int(number) <= len(items):
            understood = understood.strike(items[int(number) - 1])
        else:
            say(none_of(number, [f"1 to {len(items)} of what was heard"] if items else ["words"]))
    return understood


def checked_in(
    rules: RuleBase, case: Case, page: CheckIn, line: Line, say: Say
) -> tuple[Answered, ...]:
    """The check-in as one prompt. Nothing where Enter leaves it, or the person went back."""
    for text in _check_in_lines(rules, case, page):
        say(text)
    while True:
        typed = line("check-in (such as a k 0, 1 = 14 psi; Enter leaves it)> ")
        if not typed:
            return ()
        ticks = Ticks(page, standing(case).answers)
        try:
            _take(rules, case, ticks, typed)
        except BadInput as error:
            say(f"{error}.")
            continue
        known = (*ticks.said.values(), *ticks.events)
        return (*ticks.events, *brought_by(rules, known))


def _check_in_lines(rules: RuleBase, case: Case, page: CheckIn) -> Iterator[str]:
    ticks = Ticks(page, standing(case).answers)
    for title, (none, keys) in zip((SINCE, SHOWS), ticks.lists, strict=True):
        if keys:
            yield f"{title}:"
        for key, name in keys.items():
            said = f" (said: {ticks.state(name) or 'not known'})" if name in ticks.said else ""
            yield f"  {key}  {tick_text(rules, name)}{said}"
        if keys:
            yield f"  {none}  {NONE_OF_THEM}"
    if page.readings:
        yield f"{READINGS}:"
    for number, name in enumerate(page.readings, 1):
        target = should_be(rules, case, name)
        unit = accepted(unit_of_bare(rules, case, name)).partition(",")[0]
        be = f"; should be {target}" if target else ""
        answer = ticks.said.get(name)
        said = f" (said: {answer_text(rules, answer)})" if answer is not None else ""
        yield f"  {number} = {setting_title(rules, name)}, {unit}{be}{said}"


def _take(rules: RuleBase, case: Case, ticks: Ticks, typed: str) -> None:
    """Take keys and readings such as `a k 0, 1 = 14 psi`. Raises `BadInput`."""
    for part in re.split(r"[,;]\s|[,;]$|\s(?=[1-9]\s*=)", typed):
        reading = _READING.fullmatch(part.strip())
        if reading is not None:
            number, figure = int(reading[1]), reading[2]
            if number > len(ticks.page.readings):
                count = len(ticks.page.readings)
                raise BadInput(none_of(part, [f"a reading is 1 to {count}"]).rstrip("."))
            name = ticks.page.readings[number - 1]
            unit = unit_of_bare(rules, case, name)
            ticks.readings[name] = read_or_unknown(rules, name, figure, unit)
            continue
        for key in dict.fromkeys(part.lower().split()):
            if not ticks.can(key):
                named = f"{', '.join(ticks.keys)}, 0 and 9, or a reading such as 1 = 14"
                raise BadInput(none_of(key, [named]).rstrip("."))
            ticks.press(key)
