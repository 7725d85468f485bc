"""What may be meant where no phrase says it: the complaints whose words come nearest.

Okapi BM25 (S. Robertson and H. Zaragoza, The Probabilistic Relevance Framework: BM25 and Beyond,
2009, from memory) over the stems of what each complaint is said to be.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass

from diagnose.listening.vocabulary import Vocabulary

_K1, _B = 1.2, 0.4
_LEAST = 4.0
_MOST = 3


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
