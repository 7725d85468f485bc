"""Answers that name what is there already, or what is made on the way."""

from __future__ import annotations

from typing import Any

from diagnose.authoring.adding.asking import SKIP, Asked, Asker, asking
from diagnose.authoring.adding.choosing import Choice, Prompt
from diagnose.authoring.adding.questions import EntryQuestion
from diagnose.case.events import read_answer


def name(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """One entry."""
    choices = asker.names.choices(question.sections)
    return (yield from asker.named(asking(question, choices, new=question.new)))


def names(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """Entries until an empty line."""
    said: list[str] = []
    while True:
        choices = [c for c in asker.names.choices(question.sections) if c.name not in said]
        prompt = asking(
            question, choices, so_far=asker.names.titles(said), may_end=len(said) >= question.least,
            new=question.new,
        )  # fmt: skip
        key = yield from asker.named(prompt)
        if key is None:
            return said or SKIP
        said.append(key)


def group(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """One of the groups of causes that are there."""
    groups = dict.fromkeys(cause.group for cause in asker.names.rules.causes.values())
    choices = [Choice(name, name.replace("-", " ")) for name in groups]
    return (yield from asker.picked(asking(question, choices)))


def source(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """A source, one of the pack's own by default."""
    choices = asker.names.choices(("sources",))
    own = [c.name for c in choices if asker.names.is_own("sources", c.name)]
    choices.sort(key=lambda choice: choice.name not in own)
    default = own[0] if own else ""
    prompt = asking(question, choices, sections=("sources",), new="source", default=default)
    return (yield from asker.named(prompt))


def puts_right(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """The causes that a correction puts right."""
    return (yield from _linked(asker, question, ("causes",)))


def before(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """The checks and corrections that a caution stands before."""
    return (yield from _linked(asker, question, ("observations", "corrections")))


def _linked(asker: Asker, question: EntryQuestion, sections: tuple[str, ...]) -> Asked:
    said: dict[str, Any] = {}
    while True:
        choices = [c for c in asker.names.choices(sections) if c.name not in said]
        prompt = asking(
            question, choices, sections=sections, so_far=asker.names.titles(said),
            may_end=bool(said),
        )  # fmt: skip
        key = yield from asker.named(prompt)
        if key is None:
            return said
        said[key] = True


def answers(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """Checks with what was answered to each."""
    said: dict[str, str] = {}
    while True:
        choices = [c for c in asker.names.choices(("observations",)) if c.name not in said]
        prompt = asking(
            question, choices, sections=("observations",),
            so_far=[_answered(asker, key, text) for key, text in said.items()], may_end=True,
        )  # fmt: skip
        key = yield from asker.named(prompt)
        if key is None:
            return said
        entry = asker.names.rules.observations[key]
        if entry.kind == "measurement":
            line = (
                yield Prompt(f"{entry.ask}: which reading?", such_as=f"12 {entry.unit}")
            ).strip()
            read_answer(asker.names.rules, key, line)
            said[key] = line
            continue
        states = tuple(Choice(state, label) for state, label in entry.states.items())
        said[key] = yield from asker.picked(Prompt(f"{entry.ask}", choices=states))


def _answered(asker: Asker, key: str, text: str) -> str:
    entry = asker.names.rules.observations[key]
    return f"{entry.ask.rstrip('?')}: {dict(entry.states).get(text, text)}"
