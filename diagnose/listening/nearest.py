"""What may be meant where no phrase says it: complaints and observations that share its words.

Complaints by Okapi BM25 (S. Robertson and H. Zaragoza, The Probabilistic Relevance Framework: BM25
and Beyond, 2009, from memory) over the stems of what each complaint is said to be; observations by
how much of what was said, the rarer words counting more, stands in the question, its answers or a
phrase for it.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from diagnose.listening.tokens import Token
from diagnose.listening.vocabulary import Vocabulary

_K1, _B = 1.2, 0.4
_LEAST = 4.0
_MOST = 3
_LEAST_SHARE = 0.4
"""Of what was said, by weight, that an observation must share to be asked about: a choice of ours,
at which `lost a lot of oil` finds oil and `purple monkey` nothing."""
_NEAR_THE_BEST, _OF_A_PHRASE = 0.6, 0.5
_LEAST_LETTERS = 3
_WORD = re.compile("[a-z]+")


@dataclass(frozen=True, slots=True)
class NearComplaint:
    """A complaint that may be meant, and the stems that speak for it."""

    complaint: str
    nearness: float
    stems: tuple[str, ...]


class NearestComplaints:
    """The complaints of a rule base as bags of stems."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        said: dict[str, Counter[str]] = {}
        for key, complaint in vocabulary.rules.complaints.items():
            words = " ".join((complaint.title, *complaint.said)).lower().replace("-", " ").split()
            stems = (vocabulary.key(w) for w in words if w not in vocabulary.small)
            said[key] = Counter(stem for stem in stems if stem.isalpha())
        for phrase in vocabulary.phrases:
            if phrase.kind == "complaint":
                said[phrase.owner].update(
                    key
                    for element in phrase.elements
                    for key in sorted(element)
                    if key.islower() and key.isalpha() and key not in vocabulary.small
                )
        self._said = said
        self._mean = sum(bag.total() for bag in said.values()) / max(len(said), 1)
        spread = Counter(stem for bag in said.values() for stem in bag)
        count = len(said)
        self._idf = {
            stem: math.log(1 + (count - n + 0.5) / (n + 0.5)) for stem, n in spread.items()
        }

    def near(self, stems: Collection[str]) -> list[NearComplaint]:
        """Up to three complaints near enough to ask about, the nearest first."""
        found = []
        for key, bag in self._said.items():
            shared = tuple(sorted(stem for stem in stems if stem in bag))
            length = _K1 * (1 - _B + _B * bag.total() / max(self._mean, 1))
            nearness = sum(
                self._idf[stem] * bag[stem] * (_K1 + 1) / (bag[stem] + length) for stem in shared
            )
            if nearness >= _LEAST:
                found.append(NearComplaint(key, nearness, shared))
        return sorted(found, key=lambda offer: -offer.nearness)[:_MOST]


class NearestFacts:
    """The observations of a rule base as sets of stems: those of the question and its answers, and
    those of phrases for it, which count half."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._vocabulary = vocabulary
        self._asked: dict[str, set[str]] = {}
        self._phrased: dict[str, set[str]] = {}
        for key, entry in vocabulary.rules.observations.items():
            words = _WORD.findall(" ".join((entry.ask, *entry.states.values())).lower())
            self._asked[key] = {vocabulary.key(word) for word in words}
            self._phrased[key] = set()
        for phrase in vocabulary.phrases:
            if phrase.kind in ("fact", "noun") and phrase.owner in self._phrased:
                self._phrased[phrase.owner].update(*phrase.elements)
        self._spread = Counter(
            stem for key, stems in self._asked.items() for stem in stems | self._phrased[key]
        )

    def near(self, tokens: Sequence[Token]) -> list[str]:
        """The observations near enough to ask about, the nearest first, the shorter before."""
        weights = {
            token.stem: self._weight(token.stem)
            for token in tokens
            if token.is_word
            and token.word not in self._vocabulary.small
            and len(token.word) >= _LEAST_LETTERS
        }
        nearness = {key: self._nearness(key, weights) for key in self._asked}
        best = max(nearness.values(), default=0.0)
        least = max(_LEAST_SHARE * sum(weights.values()), _NEAR_THE_BEST * best)
        found = [key for key, near in nearness.items() if near and near >= least]
        return sorted(found, key=lambda key: (-nearness[key], len(self._asked[key])))

    def _nearness(self, key: str, weights: Mapping[str, float]) -> float:
        asked, phrased = self._asked[key], self._phrased[key]
        return sum(
            weight if stem in asked else _OF_A_PHRASE * weight
            for stem, weight in weights.items()
            if stem in asked or stem in phrased
        )

    def _weight(self, stem: str) -> float:
        count, n = len(self._asked), self._spread[stem]
        return math.log(1 + (count - n + 0.5) / (n + 0.5))
