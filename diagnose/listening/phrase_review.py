"""Phrases of a pack that do not do what they are there for."""

from __future__ import annotations

import re
from collections.abc import Iterator

from diagnose.listening.heard import Story
from diagnose.listening.listen import Listener
from diagnose.listening.matching import matches
from diagnose.listening.phrases import NOT, Phrase
from diagnose.listening.tokens import tokens_of
from rules.review.doubts import Doubt, doubt
from rules.rulebase import RuleBase

_DENIED = "never {}"


def phrase_doubts(rules: RuleBase) -> Iterator[Doubt]:
    """Doubts about phrases: shared by two entries, shrunk to one small word, not heard when said
    alone, or heard even after `no`. Only where there is a vocabulary, and in a stack only where a
    pack above the first has words of its own: the others were tried with that one."""
    if not rules.heard or (len(rules.packs) > 1 and not _adds_words(rules)):
        return
    listener = Listener(rules, phrases_only=True)
    for name, path, text in listener.vocabulary.shrunk:
        message = f"{text!r} is hardly a word once small words fall out of it; say more"
        yield doubt(rules, name, path, "phrase-shrinks", message)
    owners: dict[tuple[object, ...], Phrase] = {}
    for phrase in listener.vocabulary.phrases:
        if phrase.kind not in {"complaint", "fact"} or phrase.name[0] != "heard":
            continue
        entry = rules.observations.get(phrase.owner)
        place_or_mark = (
            entry is not None and entry.phase
        ) or phrase.owner in listener.vocabulary.beside
        if phrase.level == "hint" or place_or_mark:
            continue  # asked about at most, or heard only beside a complaint
        kinds = (phrase.kind, *phrase.pattern)
        other = owners.setdefault(kinds, phrase)
        if phrase.kind == "complaint" and other.owner != phrase.owner:
            message = f"{phrase.text!r} is also a phrase of {other.owner}; only one can have it"
            yield doubt(rules, phrase.name, phrase.path, "phrase-shared", message)
            continue
        yield from _tried(listener, phrase)


def _adds_words(rules: RuleBase) -> bool:
    own = rules.packs[0].id
    sections = {
        "heard": rules.heard,
        "vocabulary": rules.vocabulary,
        "complaints": rules.complaints,
    }
    return any(
        rules.origins[section, key].pack != own or rules.changes(section, key)
        for section, entries in sections.items()
        for key in entries
    )


def _tried(listener: Listener, phrase: Phrase) -> Iterator[Doubt]:
    words = spoken(listener, phrase)
    if words is None:
        return
    rules = listener.rules
    place = listener.vocabulary.heard_of.get(phrase.name[1])
    if place is not None:
        words = f"{words} {rules.vocabulary[place].words[0]}"
    if phrase.owner not in _understood(listener.listen(words)):
        message = f"said alone ({words!r}) it is not heard; something else has its words"
        yield doubt(rules, phrase.name, phrase.path, "phrase-unheard", message)
    elif phrase.kind == "complaint" and not any(NOT in e for e in phrase.elements):
        denied = _DENIED.format(words)
        taken = (c for c in listener.listen(denied).complaints if c.complaint == phrase.owner)
        if any(taken) and not _says_so_itself(listener, phrase.owner, denied):
            message = f"it is taken even where it is denied ({_DENIED.format(words)!r})"
            yield doubt(rules, phrase.name, phrase.path, "phrase-undenied", message)


def _says_so_itself(listener: Listener, owner: str, denied: str) -> bool:
    """Whether the denial is a word of another phrase of the same entry: `never comes back`."""
    found = matches(listener.vocabulary, tokens_of(listener.vocabulary, denied))
    return any(match.phrase.owner == owner and 0 in match.at for match in found)


def spoken(listener: Listener, phrase: Phrase) -> str | None:
    """The phrase as it may be said, the first of its words each; None where it needs a figure."""
    said: list[str] = []
    for group in re.sub(" &&? |_", " ", phrase.text).split():
        word = group.split("|")[0]
        if word == NOT:
            word = "not"
        elif word[:1].isupper():
            listed = listener.rules.vocabulary[word.lower()]
            if listed.role != "class":
                return None
            word = listed.words[0]
        said.append(word.removeprefix("="))
    return " ".join(said)


def _understood(story: Story) -> set[str]:
    taken = {c.complaint for c in story.complaints} | {q.id for q in story.questions}
    facts = {f.observation for f in (*story.facts, *story.pending)}
    aside = {item.id for item in story.not_taken}
    return taken | facts | aside | {name for name, _, _ in story.machine}
