"""What was understood of a rider's story, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.case.events import Answered, Complained
from diagnose.listening.heard import NotTaken, OpenQuestion, Slices, Story
from diagnose.listening.understood import Item
from diagnose.records.cases.case_title import complaint_title
from diagnose.words.answers import answer_text
from diagnose.words.check_in_words import cut_down
from diagnose.words.event_words import asked_text
from diagnose.words.titles import lowered, sentence
from rules.rulebase import RuleBase


def quoted(words: Slices) -> str:
    """The rider's words as they stand in the story: `“fork … harsh”`."""
    return f"“{' … '.join(' '.join(part.text.split()) for part in words)}”"


def heard_lines(rules: RuleBase, story: Story) -> Iterator[str]:
    """Every item of a story in a line, each with the words it comes from."""
    for complaint in story.complaints:
        title = complaint_title(rules, complaint.event)
        yield f"Complaint: {title}, from {quoted(complaint.words)}"
    for fact in story.facts:
        yield f"{asked_text(rules, fact.event)}, from {quoted(fact.words)}"
    for trait, option, words in story.machine:
        entry = rules.traits[trait]
        yield f"{entry.title}: {lowered(entry.options[option])}, from {quoted(words)}"
    for question in story.questions:
        yield question_text(rules, question)
    for fact in story.pending:
        yield f"If so: {asked_text(rules, fact.event)}, from {quoted(fact.words)}"
    yield from not_taken_lines(rules, story)
    yield from story.remarks
    if not (story.complaints or story.questions or story.remarks):
        yield "No complaint was understood."


def not_taken_lines(rules: RuleBase, story: Story) -> Iterator[str]:
    """What was said and does not count, each with why and the words it comes from."""
    for item in story.not_taken:
        yield f"Not taken ({item.why}): {_named(rules, item)}, from {quoted(item.words)}"


def item_text(rules: RuleBase, item: Item) -> str:
    """One thing that was understood, short: `Harsh (rear)`, `Rear wheel out: yes`."""
    what = item.what
    if isinstance(what, Complained):
        return complaint_title(rules, what)
    if isinstance(what, tuple):
        trait, option = what
        return f"{rules.traits[trait].title}: {lowered(rules.traits[trait].options[option])}"
    if what.state is None:
        return asked_text(rules, what)
    text = cut_down(rules, what.observation)
    answer = answer_text(rules, what)
    return f"{sentence(text)} {answer if text.endswith('?') else lowered(answer)}"


def choice_texts(rules: RuleBase, question: OpenQuestion) -> list[str]:
    """What can be meant, in the order of the choices."""
    if question.asks == "figure":
        return [rules.observations[name].ask for name in question.choices]
    states = rules.observations[question.id].states if question.asks == "fact" else {}
    return [states.get(choice, choice) for choice in question.choices]


def question_text(rules: RuleBase, question: OpenQuestion) -> str:
    """A question that the story leaves: what may be meant, which end, or which of two answers."""
    words = quoted(question.words)
    match question.asks:
        case "complaint":
            meant = complaint_title(rules, Complained(question.id, question.place))
            return f"Did you mean: {lowered(meant)}? (from {words})"
        case "place":
            title = lowered(rules.complaints[question.id].title)
            return f"Which end is it: {', '.join(question.choices)}? ({title}, from {words})"
        case "figure":
            meant = " or ".join(lowered(rules.observations[name].ask) for name in question.choices)
            return f"What is {question.id}: {meant}? (from {words})"
    entry = rules.observations[question.id]
    choices = " or ".join(entry.states.get(choice, choice) for choice in question.choices)
    return f"{sentence(entry.ask)} {choices}? ({words})"


def _named(rules: RuleBase, item: NotTaken) -> str:
    if item.id in rules.complaints:
        return lowered(complaint_title(rules, Complained(item.id, item.place)))
    if item.id in rules.traits:
        return lowered(rules.traits[item.id].title)
    answer = answer_text(rules, Answered(item.id, item.state))
    return f"{sentence(rules.observations[item.id].ask)} {answer}"
