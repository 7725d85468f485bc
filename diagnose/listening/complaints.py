"""Find complaints, and other entries, by the words that people use."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from rapidfuzz import fuzz, process, utils

from rules.rulebase import RuleBase

_GOOD_ENOUGH = 60.0
_NEAR_THE_BEST = 0.8


def find_complaints(rules: RuleBase, text: str, most: int = 5) -> list[str]:
    """Ids of up to `most` complaints whose title or sayings come near `text`, nearest first.

    Empty when none comes near; only those almost as near as the first are given.
    """
    sayings = {key: (entry.title, *entry.said) for key, entry in rules.complaints.items()}
    near = _nearness(sayings, text, fuzz.WRatio)
    best = max(near.values(), default=0.0)
    return [key for key, score in near.items() if score >= _NEAR_THE_BEST * best][:most]


def find_by_words(sayings: Mapping[str, Sequence[str]], text: str, most: int) -> list[str]:
    """Up to `most` ids whose sayings, often whole sentences, hold the words of `text`, best first.

    Each word counts by how near it comes to a word of the saying, in whatever order.
    """
    return list(_nearness(sayings, text, _words_found))[:most]


def _nearness(
    sayings: Mapping[str, Sequence[str]], text: str, scorer: Callable[..., float]
) -> dict[str, float]:
    """How near (60 to 100) the nearest saying of an id comes, of those that come near; nearest
    first, then in the order given."""
    owners = [key for key, said in sayings.items() for _ in said]
    matches = process.extract(
        text,
        [saying for said in sayings.values() for saying in said],
        scorer=scorer,
        processor=utils.default_process,
        score_cutoff=_GOOD_ENOUGH,
        limit=None,
    )
    best: dict[str, float] = {}
    for _, score, index in sorted(matches, key=lambda match: (-match[1], match[2])):
        best.setdefault(owners[index], score)
    return best


def _words_found(text: str, saying: str, **_: object) -> float:
    """Mean over the words of `text` of how near the nearest word of the saying comes, 0 to 100."""
    wanted, there = text.split(), saying.split()
    if not wanted:
        return 0.0
    return sum(max((fuzz.ratio(w, t) for t in there), default=0.0) for w in wanted) / len(wanted)
