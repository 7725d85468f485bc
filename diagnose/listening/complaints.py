"""Find complaints, and other entries, by the words that people use."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from rapidfuzz import fuzz, process, utils

from diagnose.listening.stems import Stems
from rules.rulebase import RuleBase

_GOOD_ENOUGH = 60.0
_NEAR_THE_BEST = 0.8
_FURTHER = 0.9
_ALIKE = 84.0
_LONG_ENOUGH = 4
_STEMS = Stems({})


def find_complaints(rules: RuleBase, text: str, most: int = 5) -> list[str]:
    """Ids of up to `most` complaints whose title or sayings come near `text`, nearest first.

    Empty when none comes near; only those almost as near as the first are given.
    """
    sayings = {key: (entry.title, *entry.said) for key, entry in rules.complaints.items()}
    near = _nearness(sayings, text, fuzz.WRatio)
    best = max(near.values(), default=0.0)
    return [key for key, score in near.items() if score >= _NEAR_THE_BEST * best][:most]


def find_by_words(sayings: Mapping[str, Sequence[str]], text: str, most: int) -> list[str]:
    """Up to `most` ids whose sayings hold the words of `text`, a question as it is put, best first.

    A word counts by how few ids have it, and a little less where it is not in the first saying of
    the id; endings and slips of the pen do not matter, nor does the order.
    """
    shown = {key: _stems(said[0]) for key, said in sayings.items()}
    behind = {key: _stems(" ".join(said[1:])) for key, said in sayings.items()}
    score = dict.fromkeys(sayings, 0.0)
    for word in _stems(text):
        near = {stem: _near(word, stem) for stem in set().union(*shown.values(), *behind.values())}
        has = {
            key: max(
                max((near[stem] for stem in shown[key]), default=0.0),
                _FURTHER * max((near[stem] for stem in behind[key]), default=0.0),
            )
            for key in sayings
        }
        having = sum(value > 0 for value in has.values())
        if having:
            weight = math.log(1 + len(sayings) / having)
            for key, value in has.items():
                score[key] += weight * value
    best = max(score.values(), default=0.0)
    found = [key for key in sayings if score[key] >= _NEAR_THE_BEST * best > 0]
    typed = utils.default_process(text)

    def place(key: str) -> tuple[float, bool]:
        return -score[key], typed not in utils.default_process(sayings[key][0])

    return sorted(found, key=place)[:most]


def _stems(text: str) -> tuple[str, ...]:
    words = utils.default_process(text).split()
    return tuple(dict.fromkeys(_STEMS.stem(word) for word in words if len(word) > 1))


def _near(word: str, stem: str) -> float:
    """How near (0 to 1) a stem comes to a word that was typed, perhaps only its beginning."""
    if word == stem:
        return 1.0
    if len(word) >= _LONG_ENOUGH - 1 and stem.startswith(word):
        return _FURTHER
    alike = fuzz.ratio(word, stem, score_cutoff=_ALIKE) if len(word) >= _LONG_ENOUGH else 0.0
    return alike / 100


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
