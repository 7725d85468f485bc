"""Typing mistakes, and the words that riders meant."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cached_property
from typing import Any

from pydantic import BaseModel
from rapidfuzz import process
from rapidfuzz.distance import OSA

from rules.rulebase import RuleBase

_LEAST_REPAIRED, _LEAST_FORM = 4, 6
_LONG = 8
_PLAIN_WORD = re.compile(r"[a-z]{2,}")


class Spelling:
    """Repairs a word that is neither `written` in a pack's phrases nor one of its `plain` words.

    `forms` are other ways of writing, each with what it stands for; `is_known` tells whether
    phrases know a word in another form.
    """

    def __init__(
        self,
        rules: RuleBase,
        written: Collection[str],
        plain: Collection[str],
        forms: Mapping[str, str],
        is_known: Callable[[str], bool],
    ) -> None:
        self._rules = rules
        self._written, self._plain = frozenset(written), frozenset(plain)
        self._forms = forms
        self._is_known = is_known

    def repaired(self, word: str) -> str:
        """The word that `word` is a typing mistake for; itself where it is none."""
        if len(word) < _LEAST_REPAIRED or word in self._guarded or self._is_known(word):
            return word
        if word.endswith("s") and word[:-1] in self._guarded:
            return word
        most = 1 if len(word) < _LONG else 2
        near = process.extract(
            word, self._targets, scorer=OSA.distance, score_cutoff=most, limit=None
        )
        ranked = sorted((distance, t[0] != word[0], t) for t, distance, _ in near)
        return self._forms.get(ranked[0][2], ranked[0][2]) if ranked else word

    @cached_property
    def _guarded(self) -> frozenset[str]:
        """Words that are never a typing mistake: all that the pack itself writes."""
        words = set(self._written | self._plain)
        for item in self._rules.vocabulary.values():
            for text in (*item.words, *item.pairs, *item.pairs.values()):
                words.update(_PLAIN_WORD.findall(text.lower()))
        for section in ("complaints", "observations", "causes", "corrections", "traits", "specs"):
            for entry in getattr(self._rules, section).values():
                words.update(_PLAIN_WORD.findall(" ".join(_texts(entry)).lower()))
        return frozenset(words)

    @cached_property
    def _targets(self) -> list[str]:
        forms = {form for form in self._forms if len(form) >= _LEAST_FORM}
        known = self._written | forms
        return sorted(w for w in known if len(w) >= _LEAST_REPAIRED and w.isalpha())


def _texts(entry: Any) -> Iterator[str]:
    if isinstance(entry, str):
        yield entry
    elif isinstance(entry, BaseModel):
        for name in type(entry).model_fields:
            yield from _texts(getattr(entry, name))
    elif isinstance(entry, Mapping):
        for value in entry.values():
            yield from _texts(value)
    elif isinstance(entry, list | tuple):
        for value in entry:
            yield from _texts(value)
