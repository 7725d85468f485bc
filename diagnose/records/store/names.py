"""What bikes and trainees may be called."""

from __future__ import annotations

import unicodedata

from rules.problems import BadInput

LONGEST_NAME = 60
_JOINER = "\u200d"
_NOTHING_BY_ITSELF = frozenset({"Mn", "Me", "Zs"})
"""Categories of what only shows with another sign: marks, spaces, how a picture is to look."""


def good_name(name: str) -> str:
    """`name` with single spaces. Raises `BadInput` where it is too long or cannot be seen."""
    clean = " ".join(name.split())
    told = name[:LONGEST_NAME]
    if problem := unseen_in(clean):
        raise BadInput(f"{told!r} is not a name: it holds {problem}")
    if not clean or len(clean) > LONGEST_NAME:
        raise BadInput(f"{told!r} is not a name; give 1 to {LONGEST_NAME} letters")
    if all(unicodedata.category(letter) in _NOTHING_BY_ITSELF for letter in clean):
        raise BadInput(f"{told!a} is not a name: nothing of it can be seen by itself")
    return clean


def unseen_in(text: str) -> str:
    """What to say of the first sign in `text` that cannot be seen; empty where all can."""
    unseen = next((letter for letter in text if not letter.isprintable()), "")
    if not unseen:
        return ""
    what = "; it joins several pictures into one" if unseen == _JOINER else ""
    return f"U+{ord(unseen):04X}, which cannot be seen{what}; leave that out"
