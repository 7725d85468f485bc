"""What a person most likely meant by a name that is not known; never its opposite, and never a name
of another end of the bike."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import yaml

_CLOSE = 60.0
"""Percent of the letters are the same and in the same order."""
_SAME_WORD = 65.0
"""As much of a single word, for it to be taken as a misspelling of another."""
_LONG_WORD, _SLIPS = 4, 2
"""In a word of so many letters, so many may be wrong if the first is right."""
_WHOLE = 88.0
"""As much of everything, where words are run together or split."""
_LONGEST = 200
_WORDS = re.compile(r"[^\W_]+")
_DENYING = ("un", "non", "in", "dis")


def nearest(word: str, known: Sequence[str]) -> str | None:
    """The one of `known` that `word` is a slip of the pen for, None where there is none."""
    from rapidfuzz import fuzz, process  # noqa: PLC0415  # only needed after a mistake

    word = word[:_LONGEST]
    close = process.extract(word, known, scorer=fuzz.ratio, score_cutoff=_CLOSE / 2, limit=20)
    best = [
        (score + _aligned(word, name), name)
        for name, score, _ in close
        if not _opposed(word, name)
        and ((score >= _CLOSE and _aligned(word, name)) or score >= _WHOLE or _within(word, name))
    ]
    return max(best, key=lambda pair: pair[0])[1] if best else None


def _words(text: str) -> list[str]:
    return _WORDS.findall(text.lower())


def _aligned(word: str, name: str) -> bool:
    """Whether every word of the one with fewer words is one of the other's, or close to one."""
    few, many = sorted((_words(word), _words(name)), key=len)
    return all(any(_slip(one, other) for other in many) for one in few)


def _slip(one: str, other: str) -> bool:
    """Whether one word may be a misspelling of another."""
    from rapidfuzz import fuzz  # noqa: PLC0415
    from rapidfuzz.distance import Levenshtein  # noqa: PLC0415

    if fuzz.ratio(one, other) >= _SAME_WORD:
        return True
    long = min(len(one), len(other)) >= _LONG_WORD
    return long and one[0] == other[0] and Levenshtein.distance(one, other) <= _SLIPS


def _within(word: str, name: str) -> bool:
    """Whether all words of the name were written, with more beside them."""
    mine, its = _words(word), _words(name)
    return len(its) < len(mine) and set(its) <= set(mine)


def _opposed(word: str, name: str) -> bool:
    """Whether one says the opposite of the other in some word, or speaks of the other end."""
    mine, its = set(_words(word)), set(_words(name))
    only_mine, only_its = mine - its, its - mine
    for one in only_mine:
        for other in only_its:
            if any(one == deny + other or other == deny + one for deny in _DENYING):
                return True
    return any(
        _kinds(only_mine, row) and _kinds(only_its, row) - _kinds(mine, row) for row in _apart()
    )


def _kinds(words: set[str], row: tuple[frozenset[str], ...]) -> set[int]:
    return {number for number, kind in enumerate(row) if kind & words}


@cache
def _apart() -> tuple[tuple[frozenset[str], ...], ...]:
    text = Path(__file__).with_suffix(".yaml").read_text(encoding="utf-8")
    rows = yaml.safe_load(text)["apart"]
    return tuple(tuple(frozenset(kind) for kind in row) for row in rows)
