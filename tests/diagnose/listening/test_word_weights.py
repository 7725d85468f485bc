"""What words speak for beside phrases, by the weights that were learned."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.listening.ends import Ends
from diagnose.listening.facts import FoundFact
from diagnose.listening.grading import Graded
from diagnose.listening.listen import Listener
from diagnose.listening.scope import Scope
from diagnose.listening.tokens import tokens_of
from diagnose.listening.word_weights import (
    NO_WEIGHTS,
    WordWeights,
    believed,
    by_words,
    features,
    weighed,
    weights_for,
)
from rules.loading.pack_files import OFFROAD, WORD_WEIGHTS
from rules.rulebase import RuleBase
from tests.diagnose.listening import learning

WORDS = ("harsh", "front", "rear", "kicks", "not", "the", "my", "over", "roots", "mate's", "if")


def test_what_was_learned_fits_the_pack(listener: Listener) -> None:
    rules = listener.rules
    weights = weights_for(listener.vocabulary)
    for key in weights.start:
        name, is_fact, state = key.partition("=")
        known = rules.observations[name].states if is_fact else rules.complaints
        assert (state if is_fact else name) in known
    assert set(rules.complaints) <= set(weights.start)
    assert {key for nats in weights.words.values() for key in nats} <= set(weights.start)


def test_words_alone_name_a_complaint_that_no_phrase_has(listener: Listener) -> None:
    """A picture that the phrases lack; the words that speak for it are shown."""
    text = "every time I land it catapults me out of the seat like a toaster"
    silent = Listener(listener.rules, phrases_only=True).listen(text)
    heard = listener.listen(text)
    named = [c.complaint for c in heard.complaints] + [q.id for q in heard.questions]
    assert "rear-kick" in named
    words = [s.text for c in heard.complaints for s in c.words]
    words += [s.text for q in heard.questions for s in q.words]
    assert words and all(word in text for word in words)
    assert len(silent.complaints) <= len(heard.complaints)


@pytest.mark.parametrize(
    "text", ["the marshals were harsh this weekend", "kickstarter kicks back like a mule"]
)
def test_words_do_not_take_what_is_said_of_a_stranger(listener: Listener, text: str) -> None:
    assert listener.listen(text).complaints == ()


def test_what_phrases_deny_words_only_ask_about(listener: Listener) -> None:
    assert listener.listen("the rear is not harsh at all").complaints == ()


def test_a_fact_is_left_where_all_else_speaks_against_it(listener: Listener) -> None:
    """A phrase finds a crash in it; the whole sentence is about steering."""
    text = "Turns in like a tanker, plough straight on into the tyres, brother"
    by_phrases = Listener(listener.rules, phrases_only=True).listen(text)
    assert "changed-crashed" in {fact.observation for fact in by_phrases.facts}
    heard = listener.listen(text)
    assert "changed-crashed" not in {fact.observation for fact in heard.facts}
    left = [item.id for item in heard.not_taken if item.why == "unlikely by the words"]
    assert left == ["changed-crashed"]


@pytest.mark.parametrize(
    ("phrases", "sure", "why"),
    [
        (["fell off"], 0.1, "unlikely by the words"),
        (["went down"], 0.5, None),
        (["crash"], 0.9, None),
        (["fell off", "crash"], 0.9, None),
        (["a phrase of the shop's own", "fell off"], 1.0, None),
    ],
)
def test_a_fact_is_as_sure_as_its_best_phrase_was_right(
    listener: Listener, phrases: list[str], sure: float, why: str | None
) -> None:
    records = {"crash": 2.2, "went down": 0.0, "fell off": -2.2}
    of_facts = {"start": 0.0, "record": 1.0, "more": 0.0, "words": 1.0, "weighed": 0.0}
    weights = WordWeights({}, {}, {}, {}, {"changed-crashed=yes": records}, of_facts)
    found = [
        FoundFact("changed-crashed", "yes", (n,), 1.0, phrase=phrase)
        for n, phrase in enumerate(phrases)
    ]
    for fact in believed(weights, listener.vocabulary, {}, {}, found):
        assert fact.sure == pytest.approx(sure, abs=0.01)
        assert fact.why == why


def test_a_complaint_without_weights_stays_as_its_phrases_left_it(listener: Listener) -> None:
    """As that of a shop's own pack, with a hint that is always asked about."""
    vocabulary = listener.vocabulary
    tokens = tokens_of(vocabulary, "it sings")
    scope = Scope(vocabulary, tokens)
    ends = Ends(vocabulary, tokens, scope)
    shipped = weights_for(vocabulary)
    ours = {key: nats for key, nats in shipped.start.items() if key != "noise"}
    hinted = Graded("noise", None, (1,), (1,), 0.4, None)
    found = weighed(replace(shipped, start=ours), vocabulary, tokens, {}, ends, [hinted])
    assert [(item.complaint, item.sure) for item in found] == [("noise", 0.4)]


def test_another_pack_has_its_phrases_only(mower: RuleBase) -> None:
    assert weights_for(Listener(mower).vocabulary) is NO_WEIGHTS


@given(st.lists(st.sampled_from(WORDS)))
def test_words_give_chances_and_name_their_tokens(listener: Listener, words: list[str]) -> None:
    vocabulary = listener.vocabulary
    tokens = tokens_of(vocabulary, " ".join(words))
    said = features(vocabulary, tokens, Scope(vocabulary, tokens))
    for one in by_words(weights_for(vocabulary), said).values():
        assert 0 <= one.chance <= 1
        assert set(one.at) <= set(range(len(tokens)))


@pytest.mark.long
def test_the_weights_are_those_of_the_sentences(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path_factory.mktemp("pack")
    monkeypatch.setattr(learning, "FOLDER", folder)
    learning.main([])
    again = json.loads((folder / "learned.json").read_text())
    kept = json.loads((OFFROAD / WORD_WEIGHTS / "learned.json").read_text())
    assert again["start"] == pytest.approx(kept["start"], abs=0.02)
    assert again["together"] == pytest.approx(kept["together"], abs=0.02)
    assert again["facts"] == pytest.approx(kept["facts"], abs=0.02)
    assert again["phrases"].keys() == kept["phrases"].keys()
