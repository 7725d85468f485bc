"""What stands on the page of one question, made from what is asked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.authoring.adding.asking import NEW
from diagnose.authoring.adding.choosing import Choice, Prompt, matching

_DENIED = "not "


@dataclass(frozen=True, slots=True)
class PageRow:
    """A row to pick: what it says, what is answered by it, and its key where it has one."""

    label: str
    line: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class QuestionPage:
    """One question: `head` says what it belongs to, `hints` help to answer, `rows` can be picked,
    and with `box` an answer can be typed."""

    head: str
    ask: str
    hints: tuple[str, ...]
    rows: tuple[PageRow, ...]
    box: bool
    prompt: Prompt | None = None

    def rows_for(self, text: str) -> list[PageRow]:
        """The rows that hold every word of `text`."""
        if self.prompt is None or self.prompt.is_numbered or not self.prompt.choices:
            return list(self.rows)
        words, denied = _split(self.prompt, text)
        wanted = words.lower().split()
        fixed = [row for row in self.rows if all(word in row.label.lower() for word in wanted)]
        first = {row.line for row in fixed}
        named = _named(matching(self.prompt, words.strip()), denied)
        return [*fixed, *(row for row in named if row.line not in first)]


def page_of(prompt: Prompt, about: str, number: int) -> QuestionPage:
    """The page of the question that is asked as the `number`th, for an entry `about`."""
    searched = bool(prompt.choices) and not prompt.is_numbered
    hints = []
    if prompt.such_as:
        hints.append(f"Such as: {prompt.such_as}")
    if prompt.so_far:
        hints.append(f"So far: {'; '.join(prompt.so_far)}")
    if prompt.denies:
        hints.append("Type `not` before it for what must not be so.")
    if searched:
        hints.append(f"Type a word of it, Down to the {len(prompt.choices)} names, Enter picks.")
    if not prompt.choices and _end(prompt):
        hints.append(f"Enter alone: {_end(prompt)}")
    head = f"{_begun(about)}. Question {number}."
    rows = tuple(_rows(prompt, searched))
    return QuestionPage(head, prompt.ask, tuple(hints), rows, not prompt.is_numbered, prompt)


def _rows(prompt: Prompt, searched: bool) -> Iterator[PageRow]:
    """The rows that stand whatever is typed into the box, all of them where there is none."""
    if prompt.choices and prompt.may_end and not prompt.default:
        yield PageRow(_end(prompt), "", "" if searched else "f")
    if prompt.default and searched:
        first = next(c for c in prompt.choices if c.name == prompt.default)
        yield PageRow(_begun(first.label), first.name)
    if prompt.new:
        yield PageRow(f"A new {prompt.new} of your own", NEW, "" if searched else "a")
    if not searched:
        for number, choice in enumerate(prompt.choices, 1):
            key = choice.name if prompt.is_yes_or_no else str(number)
            yield PageRow(_begun(choice.label), choice.name, key)


def _end(prompt: Prompt) -> str:
    if prompt.default:
        return prompt.default
    if not prompt.may_end:
        return ""
    return "No more" if prompt.so_far else "None"


def _named(choices: tuple[Choice, ...] | list[Choice], denied: bool) -> Iterator[PageRow]:
    for choice in choices:
        label = f"Not: {choice.label}" if denied else _begun(choice.label)
        yield PageRow(label, f"{_DENIED}{choice.name}" if denied else choice.name)


def _split(prompt: Prompt, text: str) -> tuple[str, bool]:
    """The words to look for, and whether they are denied."""
    if prompt.denies and text.lower().startswith(_DENIED):
        return text[len(_DENIED) :], True
    return text, False


def _begun(text: str) -> str:
    return text[:1].upper() + text[1:]
