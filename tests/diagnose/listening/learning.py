"""Learn what words speak for which complaint and fact: `python -m tests.diagnose.listening.learning [SET ...]`.

From all labelled sentences but those kept to judge with and the sets named, so that one of them can
be judged with as well; writes the weights that the listener reads (scikit-learn, F. Pedregosa and
others, Journal of Machine Learning Research, 2011). What phrases and words weigh together is fitted
on sentences that no phrase was tuned to, by weights that did not see them.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from diagnose.listening.ends import Ends
from diagnose.listening.facts import facts_in
from diagnose.listening.grading import graded
from diagnose.listening.listen import Listener
from diagnose.listening.matching import matches
from diagnose.listening.scope import Scope
from diagnose.listening.tokens import tokens_of
from diagnose.listening.word_weights import fact_features, features, together_features
from rules.loading.loader import load_pack
from rules.loading.pack_files import OFFROAD, WORD_WEIGHTS
from tests.diagnose.listening.hearing import SENTENCES, sentences_in

FOLDER = OFFROAD / WORD_WEIGHTS
PARTS = 5
LEAST_SEEN = 3
FEW = {"C": 1.5, "l1_ratio": 1, "solver": "liblinear", "random_state": 0}
"""Few weights, each large: to take something by (lasso: R. Tibshirani, Journal of the Royal Statistical
Society B, 1996, from memory)."""
MANY = {"C": 1.0, "solver": "liblinear", "random_state": 0}
"""Many small ones: whether the whole text fits a fact."""
LEAST_OF_FEW, LEAST_OF_MANY = 0.05, 0.4
"""Nats below which a weight is left out of the file."""
LEAN = 3.0
"""Sentences that a phrase is thought to have been found in before any was, right as often as its fact."""
LEAST_TOLD = 5
OFTEN_TOLD = 15
"""How often a fact must be told to be learned, and for all words to speak for or against it."""


@dataclass(frozen=True)
class Example:
    """A labelled sentence as the listener sees it: complaints and `observation=state` that are
    meant, what may be taken or left; `phrases` maps complaints to the sureness of the best phrase,
    `aside` are those that phrases put aside; `found` maps facts to the phrases that find them. Of the
    set that it is of nobody may have labelled the facts: then not `tells_facts`."""

    meant: frozenset[str]
    maybe: frozenset[str]
    features: frozenset[str]
    phrases: dict[str, float]
    aside: frozenset[str]
    found: dict[str, frozenset[str]]
    is_fresh: bool
    tells_facts: bool
    source: str


def examples(listener: Listener, without: Sequence[str]) -> list[Example]:
    """All sentences that may be learned from, less the sets named."""
    found = []
    for path in sorted(SENTENCES.glob("*.yaml")):
        is_aside = path.stem.startswith("judge") or path.stem.endswith("unseen")
        if not is_aside and path.stem not in without:
            items = list(sentences_in(path))
            tells = any(not {"f", "n"}.isdisjoint(item) for item in items)
            found += [_example(listener, item, path.stem, tells) for item in items]
    return found


def _example(listener: Listener, item: dict[str, Any], source: str, tells_facts: bool) -> Example:
    vocabulary = listener.vocabulary
    tokens = tokens_of(vocabulary, item["t"])
    scope = Scope(vocabulary, tokens)
    ends = Ends(vocabulary, tokens, scope)
    found = matches(vocabulary, tokens)
    graded_, spent = graded(vocabulary, tokens, found, scope, ends)
    facts: dict[str, set[str]] = {}
    for fact in facts_in(vocabulary, tokens, found, scope, ends, spent):
        counts = fact.why is None and not fact.end_open
        if counts and fact.id in listener.rules.observations:
            facts.setdefault(fact.key, set()).add(fact.phrase)
    phrases: dict[str, float] = {}
    for one in graded_:
        if one.why is None:
            phrases[one.complaint] = max(one.sure, phrases.get(one.complaint, 0.0))
    return Example(
        _names(item.get("c"))
        | {f"{name}={state}" for name, state in (item.get("f") or {}).items()},
        _names(item.get("maybe")),
        frozenset(features(vocabulary, tokens, scope)),
        phrases,
        frozenset(one.complaint for one in graded_ if one.why is not None),
        {key: frozenset(phrases) for key, phrases in facts.items()},
        source.startswith(("learn", "tune7")),
        tells_facts,
        source,
    )


def _names(labels: Iterable[str] | None) -> frozenset[str]:
    return frozenset(str(label).partition("/")[0] for label in labels or ())


class Weights:
    """Logistic regressions, one for each of what may be meant, over features seen often enough."""

    def __init__(
        self, wanted: Sequence[str], seen: Sequence[Example], kind: dict[str, Any] = FEW
    ) -> None:
        # slow to import, and most that comes from here needs neither
        from sklearn.feature_extraction import DictVectorizer
        from sklearn.linear_model import LogisticRegression

        counts = Counter(feature for one in seen for feature in one.features)
        self._kept = {feature for feature, count in counts.items() if count >= LEAST_SEEN}
        self._vectors = DictVectorizer()
        table = self._vectors.fit_transform([self._row(one) for one in seen])
        self.fits: dict[str, Any] = {}
        for name in wanted:
            plain = name.partition("=")[0]
            is_fact = "=" in name
            sure = np.array(
                [
                    name in one.meant
                    or (plain not in one.maybe and (one.tells_facts or not is_fact))
                    for one in seen
                ]
            )
            is_meant = np.array([name in one.meant for one in seen])
            if is_meant[sure].any():
                fit = LogisticRegression(max_iter=500, **kind)
                self.fits[name] = fit.fit(table[sure], is_meant[sure])

    def _row(self, one: Example) -> dict[str, int]:
        return dict.fromkeys(sorted(one.features & self._kept), 1)

    def chances(self, told: Sequence[Example]) -> np.ndarray:
        """(sentences, complaints): how likely each is by the words."""
        table = self._vectors.transform([self._row(one) for one in told])
        return np.stack([fit.predict_proba(table)[:, 1] for fit in self.fits.values()], axis=1)

    def nats(self, told: Sequence[Example], least: float) -> list[dict[str, float]]:
        """For each sentence what its words say of each fact by the weights worth keeping, without
        what it has before any word."""
        table = self._vectors.transform([self._row(one) for one in told])
        names = list(self.fits)
        kept = [np.where(np.abs(f.coef_[0]) >= least, f.coef_[0], 0) for f in self.fits.values()]
        scores = np.stack([table @ weights for weights in kept], axis=1)
        return [dict(zip(names, row, strict=True)) for row in scores]

    def words(self, least: float) -> dict[str, dict[str, float]]:
        """The weights worth keeping, by feature."""
        words: dict[str, dict[str, float]] = {}
        features_ = self._vectors.get_feature_names_out()
        for name, fit in self.fits.items():
            for feature, weight in zip(features_, fit.coef_[0], strict=True):
                if abs(weight) >= least:
                    words.setdefault(feature, {})[name] = round(float(weight), 2)
        return dict(sorted(words.items()))

    @property
    def start(self) -> dict[str, float]:
        """What each has before any word."""
        return {name: round(float(fit.intercept_[0]), 2) for name, fit in self.fits.items()}


def together(complaints: Sequence[str], told: Sequence[Example], chances: np.ndarray) -> Any:
    """The regression of what is meant on words and phrases, and its features by name."""
    rows, meant = [], []
    for one, by_words in zip(told, chances, strict=True):
        for name, chance in zip(complaints, by_words, strict=True):
            if name in one.meant or name not in one.maybe:
                phrase = one.phrases.get(name, 0.0)
                rows.append(together_features(chance, phrase, is_aside=name in one.aside))
                meant.append(name in one.meant)
    return _fitted(rows, meant)


class Record:
    """How often each phrase was right about its fact, in sentences whose facts are labelled."""

    def __init__(self, told: Sequence[Example]) -> None:
        self._right: Counter[tuple[str, ...]] = Counter()
        self._wrong: Counter[tuple[str, ...]] = Counter()
        for one in told:
            for key, phrases in one.found.items():
                if is_judged(one, key):
                    counts = self._right if key in one.meant else self._wrong
                    for where in ((), (one.source,)):
                        counts.update([("", "", *where), (key, "", *where)])
                        counts.update((key, phrase, *where) for phrase in phrases)

    def nats(self, key: str, phrase: str, without: str = "") -> float:
        """By how much a phrase was right rather than wrong, leaned on how often its fact and any
        fact was; `without` the sentences of one set."""
        share = 0.5
        for at in (("", ""), (key, ""), (key, phrase)):
            right = self._right[at] - self._right[(*at, without)] + LEAN * share
            wrong = self._wrong[at] - self._wrong[(*at, without)] + LEAN * (1 - share)
            share = right / (right + wrong)
        return float(np.log(share / (1 - share)))

    def written(self) -> dict[str, dict[str, float]]:
        """Every phrase that was ever found, by fact."""
        found: dict[str, dict[str, float]] = {}
        for at in sorted({*self._right, *self._wrong}):
            if len(at) == 2 and at[1]:
                found.setdefault(at[0], {})[at[1]] = round(self.nats(*at), 2)
        return found


def is_judged(one: Example, key: str) -> bool:
    """Whether the labels say if a fact found is right."""
    return one.tells_facts and (key in one.meant or key.partition("=")[0] not in one.maybe)


def facts_together(told: Sequence[Example], nats: Sequence[dict[str, float]]) -> dict[str, float]:
    """The regression of whether a fact found by phrases is meant, on their record in the sets of
    others and on its words."""
    record, rows, meant = Record(told), [], []
    for one, by_words in zip(told, nats, strict=True):
        for key, phrases in one.found.items():
            if is_judged(one, key):
                best = max(record.nats(key, phrase, one.source) for phrase in phrases)
                rows.append(fact_features(best, len(phrases), by_words.get(key)))
                meant.append(key in one.meant)
    return _fitted(rows, meant)


def _fitted(rows: Sequence[dict[str, float]], meant: Sequence[bool]) -> dict[str, float]:
    from sklearn.linear_model import LogisticRegression

    table = np.array([list(row.values()) for row in rows])
    fit = LogisticRegression(C=100, max_iter=1000).fit(table, meant)
    named = dict(zip(rows[0], (round(float(w), 3) for w in fit.coef_[0]), strict=True))
    return {"start": round(float(fit.intercept_[0]), 3), **named}


def main(without: Sequence[str]) -> None:
    """Learn, without the sets of sentences named, and write the file."""
    listener = Listener(load_pack(OFFROAD))
    complaints = list(listener.rules.complaints)
    seen = examples(listener, without)
    fresh = [n for n, one in enumerate(seen) if one.is_fresh]
    order = np.random.default_rng(0).permutation(fresh)
    chances = np.zeros((len(seen), len(complaints)))
    for part in np.array_split(order, PARTS):
        left_out = set(part.tolist())
        fits = Weights(complaints, [one for n, one in enumerate(seen) if n not in left_out])
        chances[part] = fits.chances([seen[n] for n in part])
    told = [seen[n] for n in fresh]
    nats = together(complaints, told, chances[fresh])
    told_often = Counter(name for one in seen for name in one.meant if "=" in name)
    facts = sorted(name for name, count in told_often.items() if count >= LEAST_TOLD)
    often = [name for name in facts if told_often[name] >= OFTEN_TOLD]
    judged = [one for one in told if one.tells_facts]
    halves = np.random.default_rng(0).permutation(len(judged)) % 2 == 0
    by_words: list[dict[str, float]] = [{} for _ in judged]
    for half in (halves, ~halves):
        left_out = {id(judged[n]) for n in np.flatnonzero(half)}
        fits = Weights(often, [one for one in seen if id(one) not in left_out], MANY)
        told_of = fits.nats([judged[n] for n in np.flatnonzero(half)], LEAST_OF_MANY)
        for n, row in zip(np.flatnonzero(half), told_of, strict=True):
            by_words[n] = row
    of_facts = facts_together(judged, by_words)
    few, many = Weights([*complaints, *facts], seen), Weights(often, seen, MANY)
    written = {
        "start": few.start,
        "together": nats,
        "words": few.words(LEAST_OF_FEW),
        "against": many.words(LEAST_OF_MANY),
        "phrases": Record(judged).written(),
        "facts": of_facts,
    }
    text = json.dumps(written, ensure_ascii=False, separators=(",", ":")).replace('},"', '},\n"')
    (FOLDER / "learned.json").write_text(text + "\n", encoding="utf-8")
    print(f"{len(seen)} sentences, {len(facts)} facts, {len(text)} letters, {nats}, {of_facts}")


if __name__ == "__main__":
    main(sys.argv[1:])
