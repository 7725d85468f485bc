"""What can be pressed at a question that the rider's words leave open."""

from __future__ import annotations

from diagnose.listening.heard import OpenQuestion
from diagnose.listening.understood import NONE, Understood
from diagnose.words.heard_words import choice_texts
from rules.rulebase import RuleBase
from tui.plain.offers import Offer, place_offers

NO_COMPLAINT = "No complaint is understood in it. Enter shows the list of complaints."
_YES = "yes"


def question_offers(rules: RuleBase, question: OpenQuestion, first: int) -> tuple[Offer, ...]:
    """The answers to an open question: y and n, or a number for each, from `first` on."""
    if question.asks == "complaint":
        return Offer("y", "Yes"), Offer("n", "No")
    if question.asks == "place":
        return place_offers(rules, question.id, first)
    numbered = enumerate(choice_texts(rules, question), first)
    return (*(Offer(str(key), text) for key, text in numbered), Offer("?", "Can't tell"))


def first_free(understood: Understood, most: int = 0) -> int:
    """The first number that no item has, and so an answer can have; with at most so many numbers
    in all, the last of them are for the answers."""
    question = understood.question
    answers = len(question.choices) if question is not None else 0
    items = len(understood.items)
    return 1 + (min(items, most - answers) if most else items)


def choice_of(question: OpenQuestion, key: str, first: int) -> str:
    """The answer under a key of `question_offers`, as `Understood.answer` takes it."""
    if key in ("?", "n"):
        return NONE
    return _YES if question.asks == "complaint" else question.choices[int(key) - first]
