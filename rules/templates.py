"""`for_each`: write an entry once and have it stand once per end of the machine.

An entry `<axle>-tyre-worn` with `for_each: [{axle: front}, {axle: rear}]` becomes two, with
`<axle>` replaced in every key and text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from rules.yaml_source import Document, Location

_SLOT = re.compile(r"<([A-Za-z_]+)>")


class BadTemplate(ValueError):
    """`for_each` that cannot be carried out; `location` is relative to the entry."""

    def __init__(self, location: Location, message: str) -> None:
        self.location = location
        super().__init__(message)


def expand(document: Document, section: str, key: str, body: Any) -> Iterator[tuple[str, Any]]:
    """The entries that `key: body` stands for, registering where their parts were written.

    Raises `BadTemplate`.
    """
    if not isinstance(body, dict) or "for_each" not in body:
        if _SLOT.search(key):
            raise BadTemplate((), f"{key!r} has a <slot> but the entry has no for_each")
        yield key, body
        return
    rows = body["for_each"]
    if not isinstance(rows, list) or not rows or len(rows) > 20:
        raise BadTemplate(("for_each",), "for_each is a list of 1 to 20 mappings of words")
    plain = {name: value for name, value in body.items() if name != "for_each"}
    for index, row in enumerate(rows):
        if not isinstance(row, dict) or not all(isinstance(v, str) for v in row.values()):
            raise BadTemplate(("for_each", index), "each row maps names to words")
        words: dict[str, str] = row
        new_key = _fill(key, words, ())
        yield new_key, _walk(document, plain, (section, key), (section, new_key), words)


def _walk(document: Document, value: Any, old: Location, new: Location, words: Any) -> Any:
    if old in document.positions:
        document.positions.setdefault(new, document.positions[old])
    if isinstance(value, dict):
        out = {}
        for name, item in value.items():
            filled = _fill(name, words, old)
            out[filled] = _walk(document, item, (*old, name), (*new, filled), words)
        return out
    if isinstance(value, list):
        return [_walk(document, item, (*old, i), (*new, i), words) for i, item in enumerate(value)]
    return _fill(value, words, old) if isinstance(value, str) else value


def _fill(text: str, words: Mapping[str, str], location: Location) -> str:
    def replace(match: re.Match[str]) -> str:
        if match.group(1) not in words:
            raise BadTemplate(location[2:], f"<{match.group(1)}> is not given in for_each")
        return words[match.group(1)]

    return _SLOT.sub(replace, text)
