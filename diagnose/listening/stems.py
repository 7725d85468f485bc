"""Words as they are compared: without endings, and irregular forms under one."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import snowballstemmer

_STEMMER = snowballstemmer.stemmer("english")
_LONG_ENOUGH = 4


class Stems:
    """Stems of English words by the Snowball stemmer (M. F. Porter, 2001, from memory), with
    `forms` of single words that it does not bring together."""

    def __init__(self, forms: Mapping[str, str]) -> None:
        self._forms = {form: word for form, word in forms.items() if " " not in word}
        self.stem = lru_cache(8192)(self._stem)

    def _stem(self, word: str) -> str:
        word = self._forms.get(word, word)
        stem = str(_STEMMER.stemWord(word))
        stem = self._forms.get(stem, stem)
        # so that "wobbly" and "wobble", "bounci" and "bounce" meet
        is_y = len(stem) > _LONG_ENOUGH and stem.endswith("i") and word.endswith("y")
        return stem[:-1] if is_y else stem
