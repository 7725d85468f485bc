"""What can be pressed at a question that the rider's words leave open."""

from __future__ import annotations

from diagnose.listening.heard import OpenQuestion
from diagnose.listening.understood import NONE
from diagnose.words.heard_words import choice_texts
from rules.rulebase import RuleBase
from tui.plain.offers import Offer, place_offers

NO_COMPLAINT = "No complaint is understood in it. Enter shows the list of complaints."
_LETTERS = "cdefgijk"
# what the interview line by line has for commands is left out
_YES = "yes"


def question_offers(rules: RuleBase, question: OpenQuestion) -> tuple[Offer, ...]:
    """The answers to an open question: y and n, an end by its letter, or a letter for each."""
    if question.asks == "complaint":
        return Offer("y", "Yes"), Offer("n", "No")
    if question.asks == "place":
        return place_offers(rules, question.id)
    lettered = zip(_LETTERS, choice_texts(rules, question), strict=False)
    return (*(Offer(key, text) for key, text in lettered), Offer("?", "Can't tell"))


def choice_of(rules: RuleBase, question: OpenQuestion, key: str) -> str:
    """The answer under a key, as `Understood.answer` takes it."""
    if key in ("?", "n") and question.asks != "place":
        return NONE
    if question.asks == "complaint":
        return _YES
    if question.asks == "place":
        offers = place_offers(rules, question.id)
        places = dict(zip((offer.key for offer in offers), question.choices, strict=False))
        return places.get(key, NONE)
    return question.choices[_LETTERS.index(key)]
