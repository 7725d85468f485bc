"""Phrases of a pack as patterns over the words of a sentence."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from rules.language.rider_words import NOT

__all__ = ["NOT", "Kind", "Level", "Phrase", "elements_of"]

Kind = Literal["complaint", "fact", "no-fact", "trait", "noun", "no-noun", "set-aside"]
Level = Literal["said", "with_end", "hint"]
WITHIN_SENTENCE = " && "


@dataclass(frozen=True, slots=True)
class Phrase:
    """One phrase of an entry: each of `elements` is met by a word with any of its keys.

    `wide`: they may stand in several clauses of a sentence. `close[k]`: nothing may stand between
    element k and the one before it. `path` is where it was written, in `owner`'s entry of the
    vocabulary.
    """

    kind: Kind
    owner: str
    state: str
    level: Level
    elements: tuple[frozenset[str], ...]
    close: tuple[bool, ...]
    ordered: bool
    wide: bool = False
    text: str = ""
    name: tuple[str, str] = ("", "")
    path: tuple[str | int, ...] = ()

    @property
    def pattern(self) -> tuple[object, ...]:
        """What two phrases that mean the same to a listener share."""
        elements = self.elements if self.ordered else frozenset(self.elements)
        return self.ordered, elements, self.close if self.ordered else ()


def elements_of(
    text: str, key_of: Callable[[str], str], glue: frozenset[str]
) -> tuple[tuple[frozenset[str], ...], tuple[bool, ...], bool]:
    """The elements of a phrase, which of them stand close to the one before, and whether their
    order counts. Empty where the phrase is nothing but glue."""
    ordered = " & " not in text and WITHIN_SENTENCE not in text
    elements: list[frozenset[str]] = []
    close: list[bool] = []
    for part, follows in _pieces(text):
        if part.lower() not in glue:
            elements.append(frozenset(key_of(word) for word in part.split("|")))
            close.append(follows)
    return tuple(elements), tuple(close), ordered


def _pieces(text: str) -> Iterator[tuple[str, bool]]:
    for group in text.replace(WITHIN_SENTENCE, " ").replace(" & ", " ").split():
        for number, piece in enumerate(group.split("_")):
            if piece[:1].isupper() or piece.startswith("=") or "|" in piece:
                yield piece, number > 0
            else:
                words = piece.replace("-", " ").split()
                yield from ((word, number > 0 or n > 0) for n, word in enumerate(words))
