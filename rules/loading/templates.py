"""`for_each`: an entry written once that stands for several, such as one per end of the bike.

An entry `<axle>-tyre-worn` with `for_each: [{axle: front}, {axle: rear}]` becomes two, with
`<axle>` replaced in every key and text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from rules.yaml_source import Location, YamlText

_SLOT = re.compile(r"<([A-Za-z_]{1,40})>")
MOST_ROWS = 40
LONGEST_WORD = 200
MOST_COPIED = 4_000_000
"""Letters that all copies in one file may have together; each part of an entry adds `_PART`."""
_PART = 20


class BadTemplate(ValueError):
    """`for_each` that cannot be carried out; `location` is relative to the entry."""

    def __init__(self, location: Location, message: str) -> None:
        self.location = location
        super().__init__(message)


def expand(document: YamlText, section: Location, key: str, body: Any) -> Iterator[tuple[str, Any]]:
    """The entries that `key: body` in `section` stands for; adds their positions to `document`.

    Raises `BadTemplate`.
    """
    if not isinstance(body, dict) or "for_each" not in body:
        if _SLOT.search(key):
            raise BadTemplate((), f"{key!r} has a <slot> but the entry has no for_each")
        yield key, body
        return
    rows = body["for_each"]
    if not isinstance(rows, list) or not rows or len(rows) > MOST_ROWS:
        raise BadTemplate(
            ("for_each",), f"for_each is a list of 1 to {MOST_ROWS} mappings of words"
        )
    plain = {name: value for name, value in body.items() if name != "for_each"}
    for index, row in enumerate(rows):
        if not isinstance(row, dict) or not all(
            isinstance(word, str) and len(word) <= LONGEST_WORD for word in row.values()
        ):
            message = f"each row maps names to words of at most {LONGEST_WORD} letters"
            raise BadTemplate(("for_each", index), message)
        copy = _Copy(document, len(section) + 1, row)
        new_key = copy.filled(key, (*section, key))
        yield new_key, copy.of(plain, (*section, key), (*section, new_key))


class _Copy:
    """One row's copy of an entry that stands `depth` levels deep in its document."""

    def __init__(self, document: YamlText, depth: int, words: Mapping[str, str]) -> None:
        self._document = document
        self._depth = depth
        self._words = words

    def of(self, value: Any, old: Location, new: Location) -> Any:
        """The value with its slots filled; `old` and `new` are where it stands and will stand."""
        self._spend(_PART, old)
        positions = self._document.positions
        if old in positions:
            positions.setdefault(new, positions[old])
        if isinstance(value, dict):
            out: dict[str, Any] = {}
            for name, item in value.items():
                filled = self.filled(name, old)
                if filled in out:
                    raise BadTemplate(old[self._depth :], f"{filled!r} would stand here twice")
                out[filled] = self.of(item, (*old, name), (*new, filled))
            return out
        if isinstance(value, list):
            return [self.of(item, (*old, i), (*new, i)) for i, item in enumerate(value)]
        return self.filled(value, old) if isinstance(value, str) else value

    def filled(self, text: str, location: Location) -> str:
        """The text with its slots filled."""

        def word(match: re.Match[str]) -> str:
            if match.group(1) not in self._words:
                message = f"<{match.group(1)}> is not given in for_each"
                raise BadTemplate(location[self._depth :], message)
            return self._words[match.group(1)]

        filled = _SLOT.sub(word, text)
        self._spend(len(filled), location)
        return filled

    def _spend(self, room: int, location: Location) -> None:
        self._document.copied += room
        if self._document.copied > MOST_COPIED:
            raise BadTemplate(location[self._depth :], "for_each makes too much of this file")
