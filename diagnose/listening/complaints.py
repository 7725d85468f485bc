"""Find entries by the words people use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rapidfuzz import fuzz, process, utils

from rules.rulebase import RuleBase

_GOOD_ENOUGH = 60.0
_NEAR_THE_BEST = 0.8


def find_complaints(rules: RuleBase, text: str, most: int = 5) -> list[str]:
    """Complaint ids whose title or sayings come closest to `text`, best first, if any."""
    sayings = {key: (entry.title, *entry.said) for key, entry in rules.complaints.items()}
    return _find_near(sayings, text, most)


def find_by_words(sayings: Mapping[str, Sequence[str]], text: str, most: int) -> list[str]:
    """The ids whose sayings, often whole sentences, hold most of the words of `text`, best first.

    Each word counts by how near it comes to a word of the saying; the order of words does not.
    """
    wanted = utils.default_process(text).split()
    if not wanted:
        return []
    nearness = {
        key: max(_words_found(wanted, utils.default_process(saying).split()) for saying in said)
        for key, said in sayings.items()
    }
    order = list(sayings)
    near = [key for key in order if nearness[key] >= _GOOD_ENOUGH]
    return sorted(near, key=lambda key: (-nearness[key], order.index(key)))[:most]


def _words_found(wanted: Sequence[str], there: Sequence[str]) -> float:
    """Mean over the words wanted of how near the nearest word there comes, 0 to 100."""
    return sum(max((fuzz.ratio(w, t) for t in there), default=0.0) for w in wanted) / len(wanted)


def _find_near(sayings: Mapping[str, Sequence[str]], text: str, most: int) -> list[str]:
    words = [(key, saying) for key, said in sayings.items() for saying in said]
    matches = process.extract(
        text,
        [saying for _, saying in words],
        scorer=fuzz.WRatio,
        processor=utils.default_process,
        score_cutoff=_GOOD_ENOUGH,
        limit=None,
    )
    best: dict[str, float] = {}
    for _, score, index in matches:
        key = words[index][0]
        best[key] = max(best.get(key, 0.0), score)
    order = list(sayings)
    near = [key for key in best if best[key] >= _NEAR_THE_BEST * max(best.values())]
    return sorted(near, key=lambda key: (-best[key], order.index(key)))[:most]
